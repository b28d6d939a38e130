import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("compaction", "0004_laboratory")]

    operations = [
        migrations.CreateModel(
            name='Lot',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('code', models.CharField(max_length=40)),
                ('rev', models.PositiveIntegerField()),
                ('title', models.CharField(max_length=200)),
                ('state', models.CharField(default='open', max_length=20)),
                ('closed_at', models.DateTimeField(blank=True, null=True)),
                ('basis_changed', models.BooleanField(default=False, help_text='The figures moved after it was closed.')),
                ('result', models.CharField(default='undecided', max_length=20)),
                ('basis', models.CharField(default='provisional', max_length=20)),
                ('tests', models.PositiveIntegerField(default=0)),
                ('failing', models.PositiveIntegerField(default=0)),
                ('outcome_digest', models.CharField(blank=True, max_length=64)),
                ('project', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='lots', to='projects.project')),
            ],
            options={
                'ordering': ['project', 'code'],
                'constraints': [models.UniqueConstraint(fields=('project', 'code'), name='lot_once')],
            },
        ),
        migrations.CreateModel(
            name='LotOutcome',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('code', models.CharField(max_length=40)),
                ('rev', models.PositiveIntegerField()),
                ('calculation_version', models.CharField(max_length=20)),
                ('outcome_digest', models.CharField(max_length=64)),
                ('result', models.CharField(max_length=20)),
                ('basis', models.CharField(max_length=20)),
                ('content', models.TextField(help_text='Canonical JSON: verdicts, members with reasons, failing tests, comparison.')),
                ('cause', models.CharField(help_text='Why it was computed.', max_length=200)),
                ('computed_at', models.DateTimeField()),
                ('project', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='lot_outcomes', to='projects.project')),
            ],
            options={
                'ordering': ['project', 'code', 'id'],
                'indexes': [models.Index(fields=['project', 'code', 'id'], name='lot_outcome_by_lot')],
            },
        ),
        migrations.CreateModel(
            name='LotRevision',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('code', models.CharField(max_length=40)),
                ('rev', models.PositiveIntegerField()),
                ('title', models.CharField(max_length=200)),
                ('content', models.TextField(help_text='Canonical JSON as entered: extent, rules, retests.')),
                ('outlines', models.TextField(help_text='Canonical JSON of the place as it lay on the geometry of the declaration.')),
                ('digest', models.CharField(help_text='Of what decides about membership and verdict.', max_length=64)),
                ('reason', models.TextField(blank=True)),
                ('author', models.CharField(max_length=150)),
                ('declared_at', models.DateTimeField()),
                ('project', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='lot_revisions', to='projects.project')),
            ],
            options={
                'ordering': ['project', 'code', 'rev'],
                'constraints': [models.UniqueConstraint(fields=('project', 'code', 'rev'), name='lot_revision_once')],
            },
        ),
    ]
