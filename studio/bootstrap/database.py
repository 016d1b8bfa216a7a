"""Brings the studio's database up to date before it is served."""

from studio.bootstrap.words import Trouble, say


def prepare() -> None:
    """Apply what is missing. Raises ``Trouble`` for a database that can't be reached or is too new."""
    from django.core.management import call_command
    from django.db import DatabaseError

    try:
        missing = unapplied()
    except DatabaseError as error:
        raise Trouble(
            f"The studio's database can't be opened: {str(error).strip()}\n"
            "If DATABASE_URL is set, check that it is right and that its server runs."
        ) from None
    if missing:
        say("Preparing the database ...")
        call_command("migrate", interactive=False, verbosity=0)


def unapplied() -> list[str]:
    """Names of migrations to apply. Raises ``Trouble`` when a later Foldwright has changed the database."""
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    loader = executor.loader
    strange = set(loader.applied_migrations) - set(loader.disk_migrations)
    unknown = [name for app, name in strange if app == "projects"]
    if unknown:
        raise Trouble(
            f"This database was last used by a later Foldwright (it knows {max(unknown)}). Nothing was "
            "changed. Start that version again, or name another data folder in FOLDWRIGHT_DATA."
        )
    return [migration.name for migration, _ in executor.migration_plan(loader.graph.leaf_nodes())]


def close() -> None:
    """Close what this process opened: a connection must not be shared with the workers it makes."""
    from django.db import connections

    connections.close_all()
