from django.db import migrations


class Migration(migrations.Migration):
    """A scan that lists the permanent copy alone did not see the code; after it every fault is derived anew."""

    dependencies = [("faults", "0009_codes_of_another_kind")]

    operations = []
