from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("findings", "0003_faults_by_code_in_order"),
    ]

    operations = [
        migrations.AddField(
            model_name="reading",
            name="worked_from",
            field=models.JSONField(null=True),
        ),
    ]
