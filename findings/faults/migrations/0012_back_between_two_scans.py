from django.db import migrations, models


class Migration(migrations.Migration):
    """Returns that may be within the hold, and work after a fault was gone is no repair; every fault is derived anew."""

    dependencies = [("faults", "0011_cleared_again")]

    operations = [
        migrations.AddField(
            model_name="episode",
            name="may_be_comeback",
            field=models.BooleanField(
                default=False, verbose_name="back, perhaps within the hold time after our repair"
            ),
        ),
    ]
