import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("compaction", "0003_instruments")]

    operations = [
        # relative density beside percent compaction; kinds of references without a maximum or an optimum
        *(
            migrations.AddField(
                model_name="test",
                name=name,
                field=models.DecimalField(blank=True, decimal_places=3, max_digits=8, null=True),
            )
            for name in ("relative_density_pct", "relative_density_judged", "relative_density_minimum")
        ),
        migrations.AlterField(
            model_name="referencerevision",
            name="maximum_dry_density_kgm3",
            field=models.DecimalField(blank=True, decimal_places=4, max_digits=10, null=True),
        ),
        migrations.AlterField(
            model_name="referencerevision",
            name="optimum_water_content_pct",
            field=models.DecimalField(blank=True, decimal_places=3, max_digits=7, null=True),
        ),
        # samples of soil, whose facts references carry
        migrations.CreateModel(
            name="SampleRevision",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("code", models.CharField(max_length=40)),
                ("rev", models.PositiveIntegerField()),
                ("description", models.CharField(max_length=200)),
                (
                    "group_symbol",
                    models.CharField(blank=True, help_text="ASTM D2487, as computed on arrival.", max_length=12),
                ),
                (
                    "content",
                    models.TextField(
                        help_text="Canonical JSON as entered: source, gradation, limits, specific gravity."
                    ),
                ),
                ("digest", models.CharField(help_text="Of the figures, not of remarks.", max_length=64)),
                ("reason", models.TextField(blank=True)),
                ("author", models.CharField(max_length=150)),
                ("received_at", models.DateTimeField()),
                (
                    "project",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sample_revisions",
                        to="projects.project",
                    ),
                ),
            ],
            options={
                "ordering": ["project", "code", "rev"],
                "constraints": [
                    models.UniqueConstraint(fields=("project", "code", "rev"), name="sample_revision_once")
                ],
            },
        ),
    ]
