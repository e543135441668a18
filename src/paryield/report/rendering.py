"""Templates, their filters, and the policy that keeps a page to itself."""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.report import sentences, words
from paryield.report.reader import reader
from paryield.report.sums import minutes_adding_up
from paryield.report.views import PageView


def render(template: str, view: PageView, **shown: Any) -> str:
    """Return a page from its template: standing cautions, style sheet and policy are always there."""
    more = tuple(line for line in view.cautions if line not in STANDING_CAUTIONS)
    (css, policy), logo = style(), reader().logo
    return (
        environment()
        .get_template(template)
        .render(
            view=view,
            cautions=STANDING_CAUTIONS + more,
            css=css,
            policy=policy + ("; img-src data:" if logo else ""),
            logo=logo,
            unofficial=sentences.UNOFFICIAL,
            **shown,
        )
    )


def part(template: str, **shown: Any) -> Markup:
    """Return one part of a page from its template in ``templates/partials``, safe to embed.

    Parameters
    ----------
    template : str
        Name of the file without its folder.
    **shown
        All that the template shows; a name that it uses and that is not given is an error.
    """
    return Markup(environment().get_template(f"partials/{template}").render(**shown))


@cache
def environment() -> Environment:
    """Return the templates with their filters; the desk shows the same parts."""
    environment = Environment(
        loader=PackageLoader("paryield.report", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(
        day=words.day,
        index=words.index_text,
        number=words.number,
        chance=words.chance_text,
        category=words.category_text,
        balls=words.balls_text,
        area=words.area_text,
        count=words.count_text,
        distance=words.distance_text,
        putt=words.putt_text,
        one_line=words.one_line,
        capital=words.sentence,
        weeks=words.weeks_text,
        weekday=words.weekday,
        time=words.time_text,
        minutes=words.time_text,
        plainly=sentences.plainly,
        in_minutes=minutes_adding_up,
    )
    return environment


@cache
def style() -> tuple[Markup, str]:
    """Return the style sheet and a policy that allows this one sheet and nothing else."""
    loader = environment().loader
    assert loader is not None
    css = loader.get_source(environment(), "style.css")[0].strip()
    digest = base64.b64encode(hashlib.sha256(css.encode()).digest()).decode()
    return Markup(
        css
    ), f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
