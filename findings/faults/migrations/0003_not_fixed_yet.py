from django.db import migrations, models


class Migration(migrations.Migration):
    """What is back on the job that was to mend it has a state of its own; after it every fault is derived anew."""

    dependencies = [("faults", "0002_gone_before_a_clear")]

    operations = [
        migrations.AlterField(
            model_name="fault", name="state", field=models.CharField(default="none", max_length=13)
        ),
    ]
