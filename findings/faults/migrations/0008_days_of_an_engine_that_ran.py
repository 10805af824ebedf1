from django.db import migrations


class Migration(migrations.Migration):
    """Days are no hold where the engine is known to have run for less; after it every fault is derived anew."""

    dependencies = [("faults", "0007_codes_of_the_older_data_link")]

    operations = []
