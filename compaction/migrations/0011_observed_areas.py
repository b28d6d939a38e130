from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("compaction", "0010_test_locations")]

    operations = []
