"""The function that refuses to change what stands in the log. It must be there before any table that uses it."""

from django.db import migrations

CREATE = """
CREATE OR REPLACE FUNCTION garboard_append_only() RETURNS TRIGGER AS $$
BEGIN
    RAISE EXCEPTION 'The vessel log is append-only: % on % is refused. Write an amending entry.', TG_OP, TG_TABLE_NAME
        USING ERRCODE = 'restrict_violation';
END;
$$ LANGUAGE plpgsql;
"""


class Migration(migrations.Migration):
    initial = True
    dependencies = []
    operations = [migrations.RunSQL(CREATE, "DROP FUNCTION IF EXISTS garboard_append_only();")]
