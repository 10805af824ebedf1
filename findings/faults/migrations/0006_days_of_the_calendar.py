from django.db import migrations


class Migration(migrations.Migration):
    """Days away are days of the shop's calendar, and no pieces of 24 hours; after it every fault is derived anew."""

    dependencies = [("faults", "0005_codes_told_in_two_ways")]

    operations = []
