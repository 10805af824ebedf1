from django.db import migrations


class Migration(migrations.Migration):
    """A scan that lists a code with or without its failure type proves nothing of the other: faults are derived anew."""

    dependencies = [("faults", "0004_no_clear_in_between")]

    operations = []
