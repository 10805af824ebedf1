from django.db import migrations


class Migration(migrations.Migration):
    """An episode keeps a clear that may have hidden a return; after it every fault is derived anew."""

    dependencies = [("faults", "0010_a_permanent_copy_alone")]

    operations = []
