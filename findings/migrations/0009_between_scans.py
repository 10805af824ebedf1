
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('findings', '0008_instruments'),
    ]

    operations = [
        migrations.AddField(
            model_name='episode',
            name='outcome_least_hours',
            field=models.DecimalField(decimal_places=1, max_digits=9, null=True),
        ),
        migrations.AddField(
            model_name='episode',
            name='outcome_most_hours',
            field=models.DecimalField(decimal_places=1, max_digits=9, null=True),
        ),
    ]
