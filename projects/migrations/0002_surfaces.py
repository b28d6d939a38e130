from django.db import migrations, models

import projects.models.place


class Migration(migrations.Migration):
    dependencies = [("projects", "0001_initial")]

    operations = [
        migrations.AlterField(
            model_name="arearevision",
            name="kind",
            field=models.CharField(choices=projects.models.place.area_kind_choices, default="zone", max_length=10),
        ),
    ]
