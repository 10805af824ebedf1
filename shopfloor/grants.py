"""What the program's role of the database may do, as SQL. Knows no Django: the embedded database is made before it."""

from __future__ import annotations

from psycopg import sql

PROGRAM = "garboard"  # in the embedded database

LACKING = """
SELECT NOT has_schema_privilege(%(role)s, 'public', 'USAGE')
    OR EXISTS (SELECT FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace
               AND EXISTS (SELECT FROM unnest(ARRAY['SELECT', 'INSERT', 'UPDATE', 'DELETE']) AS needed
                           WHERE NOT has_table_privilege(%(role)s, oid, needed)))
    OR EXISTS (SELECT FROM pg_sequence JOIN pg_class ON pg_class.oid = seqrelid
               WHERE relnamespace = 'public'::regnamespace AND NOT has_sequence_privilege(%(role)s, seqrelid, 'USAGE'))
    OR NOT EXISTS (SELECT FROM pg_default_acl WHERE defaclnamespace = 0 AND defaclobjtype = 'r'
                   AND defaclrole = to_regrole(current_user) AND defaclacl::text LIKE '%%' || %(role)s || '=%%')
"""


def statements(role: str) -> list[sql.Composed]:
    """Let the role read and write rows, in the tables there are and in those to come. Nothing else."""
    name = sql.Identifier(role)
    return [
        sql.SQL(statement).format(name)
        for statement in [
            "GRANT USAGE ON SCHEMA public TO {}",
            "GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA public TO {}",
            "GRANT USAGE, SELECT ON ALL SEQUENCES IN SCHEMA public TO {}",
            "ALTER DEFAULT PRIVILEGES GRANT SELECT, INSERT, UPDATE, DELETE ON TABLES TO {}",
            "ALTER DEFAULT PRIVILEGES GRANT USAGE, SELECT ON SEQUENCES TO {}",
        ]
    ]


def create(role: str, password: str) -> sql.Composed:
    """Make the role: it may log in, and nothing else."""
    plain = "CREATE ROLE {} LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOREPLICATION NOBYPASSRLS"
    with_password = sql.SQL(" PASSWORD {}").format(sql.Literal(password)) if password else sql.SQL("")
    return sql.SQL(plain).format(sql.Identifier(role)) + with_password
