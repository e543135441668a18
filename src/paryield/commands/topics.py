"""What a club can set and must keep safe, in the reference: matters of more than one command."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Topic:
    """A heading with paragraphs, and lines to copy (commands, settings)."""

    heading: str
    paragraphs: tuple[str, ...]
    lines: tuple[str, ...] = ()


TOPICS = (
    Topic(
        "What a club sets for itself",
        (
            "A settings.toml in the folder of tables; each line may be left out. Own practice categories, "
            "national handicap settings and the minutes that bays and greens hold stand there too; the "
            "demo's tables include an example. import --replace takes a changed file.",
        ),
        (
            'club_name = "Heron Marsh practice club"  # at the head of pages',
            'logo = "logo.png"                        # a PNG in the same folder',
            'locale = "de_DE"                         # how dates and decimals look',
            'distance_unit = "m"                      # metres (putts too), or "yd"',
        ),
    ),
    Topic(
        "Several people at the desk",
        (
            "Alone on your computer the desk asks for no sign-in: while it is open, whoever else works on "
            "the same computer, under an account of his own or over a remote session, can open its pages "
            "and change the club. --sign-in ends that: then nobody gets a page without a password. "
            "To let others in, say who they are, and "
            "where the desk listens, as below. add prints a one-time password, which is stored nowhere and "
            "must be changed at the first sign-in. Beyond this computer the desk needs a TLS certificate "
            "and its key, or --behind-proxy ADDRESS with a proxy in front that ends TLS; without, it does "
            "not start.",
            "A coach reaches everything of all golfers, or with --golfer of those alone and no page of the "
            "whole club; a player the own record, another week, logging for oneself; a guardian the same of "
            "one junior, until he or she is of age; a manager programmes and their report, without names "
            "and with small groups hidden; a therapist how much is practised and the limits he sets, no "
            "scores; an administrator people, audit trail and settings, no scores.",
            "A wrong password and an unknown name look alike, and ten failures in a quarter of an hour are "
            "the most from one place with one name; strangers elsewhere slow a name down and lock nobody "
            "out. New passwords have 12 characters or more that are no common words and patterns. A session "
            "ends half an hour after its last page. Whoever leaves: people "
            "CLUB remove --name NAME signs out at once; erasing a golfer takes his and his guardians' "
            "accounts along. Names of people are in the club file and its backups, and in no export of all "
            "tables.",
        ),
        (
            'paryield people club.db add --name "Maud Ferrin" --role administrator',
            'paryield people club.db add --name "Ruth Ambleside" --role player \\',
            "    --golfer G02",
            "paryield desk club.db --listen 192.168.1.20 --certificate desk.pem \\",
            "    --key desk.key",
        ),
    ),
    Topic(
        "Keeping it safe",
        (
            "A person's data: export --golfer gives all of it: every table, limits and plans, earlier "
            "values, and who saw it. erase removes it from tables, history and stored fits, overwrites and "
            "rewrites the file, searches the bytes afterwards and says what it found. It names the backups, "
            "exports and reports that still hold the person; those are yours to remove. What the disk "
            "itself keeps of deleted blocks, and a database server's own logs and backups, are beyond it: "
            "encrypt the disk.",
            "Backups: backup is one moment of the club, also while others write. Their places stand beside "
            "the club file in club.db.backups, so that a damaged or missing club names its last good one. "
            "Each row carries a checksum: export, backup and health look at every row and refuse a club in "
            "which one is not as it was written; export --anyway writes out what it still holds and names "
            "those rows. "
            "Older clubs are brought up to the present layout when they are opened, in one step or not at "
            "all.",
            "Who may read: the club file, backups, exports and pages are made for your own account alone "
            "(mode 600, folders 700; on Windows they take the rights of their folder). A club made by an "
            "older version keeps its mode: chmod 600 club.db. Files brought in at the desk are kept apart "
            "until they are stored: they go when the desk ends, within the hour, or at the next start, and "
            "with a person who is erased.",
            "Several coaches at once: with the extra postgresql, CLUB may be postgresql://user@host/club. "
            "One writer works at a time; an edit of a row that somebody else changed meanwhile is refused "
            "and says so. Many clubs: backtest --workers takes a number, or the address of a running Dask "
            "scheduler (the extra cluster).",
        ),
    ),
)
