from django.db import migrations, models


class Migration(migrations.Migration):
    """A list of codes of other kinds proves nothing of a code; after it every fault is derived anew."""

    dependencies = [("faults", "0008_days_of_an_engine_that_ran")]

    operations = [
        migrations.AlterField(
            model_name="episode",
            name="outcome",
            field=models.CharField(
                choices=[
                    ("open", "open"),
                    ("returned", "came back"),
                    ("held", "held"),
                    ("holding", "holding so far"),
                    ("unproven", "not proven yet"),
                    ("gone", "gone, with no clear on record in between"),
                    ("unfixed", "not fixed yet"),
                ],
                max_length=8,
            ),
        ),
    ]
