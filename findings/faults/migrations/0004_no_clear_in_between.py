from django.db import migrations, models


class Migration(migrations.Migration):
    """Words alone: an earlier episode may well have ended with a clear."""

    dependencies = [("faults", "0003_not_fixed_yet")]

    operations = [
        migrations.AlterField(
            model_name="episode",
            name="outcome",
            field=models.CharField(
                choices=[
                    ("open", "still there"),
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
