"""Tables of another database, such as that of a membership office, as frames; it is read, never written."""

from __future__ import annotations

import pandas as pd
import sqlalchemy as sa

from paryield.errors import InputError
from paryield.tables import TABLES


def database_frames(url: str) -> dict[str, pd.DataFrame]:
    """Read the tables and views that are called as the club's tables.

    Parameters
    ----------
    url : str
        Database URL (SQLAlchemy).

    Returns
    -------
    dict of str to DataFrame
        Frames by table name; names are compared without capitals.

    Raises
    ------
    InputError
        When the database cannot be read, or none of its tables or views is called so.
    """
    try:
        engine = sa.create_engine(url)
        try:
            with engine.connect() as connection:
                names = sa.inspect(connection)
                found = [*names.get_table_names(), *names.get_view_names()]
                held = {name.lower(): name for name in found if name.lower() in TABLES}
                frames = {
                    name: pd.read_sql_query(
                        sa.select(sa.text("*")).select_from(sa.table(held[name])), connection
                    )
                    for name in TABLES
                    if name in held
                }
        finally:
            engine.dispose()
    except (sa.exc.SQLAlchemyError, ImportError) as error:
        reason = str(getattr(error, "orig", None) or error).splitlines()[0]
        remedy = "check the address; a driver may have to be installed"
        raise InputError(f"the database cannot be read ({reason})", where="database", remedy=remedy) from None
    if not frames:
        remedy = f"make a view called rounds (or {', '.join(name for name in TABLES if name != 'rounds')})"
        raise InputError(
            "no table or view of the database is called as one of ours", where="database", remedy=remedy
        )
    return frames
