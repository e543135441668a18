"""Practice: what an hour saves, how soon that wears out, how long it lasts, and how golfers differ in it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from paryield.dose.stock import HOURS_UNIT, bend_slope, bent, node_weights
from paryield.model.prior import JUDGED, READ, SOFTPLUS_ZERO, Constant, HalfNormal, Normal, Value
from paryield.model.terms.term import Effect, Here, Part, Values, Weighed, declared, independent
from paryield.tables.categories import AREAS

START_SHARE = (
    "share of the steady stock held at the start of the record: at most 1.2, its mean on a logit "
    "scale; joining "
    "within two months of the first row speaks for less; golfers spread by 0.3 around it"
)
START_MEAN = Constant("start_share_mean", 0.5, "logit", JUDGED, START_SHARE)
START_SD = Constant("start_share_mean_sd", 0.7, "logit", JUDGED, START_SHARE)
HALF_LIFE_SD = Constant(
    "half_life_log_sd",
    0.35,
    "log",
    READ,
    "around each category's published median (Tatel & Ackerman 2025)",
)

BEND_SD = Constant(
    "bend_log_sd",
    0.85,
    "log",
    JUDGED,
    "around the specification's bend of 50 hours: eight in ten between 17 and 150. A kind of practice can "
    "take away no more than the part of an area that it trains, and how large that part is differs",
)
KNOWN_HOURS = 30.0
"""Hours at work up to which gains are stated whatever the bend: about what a golfer of three hours a week has
of a category, where records are. Beyond, a category that bends sooner returns less. [judgement]"""


class Practice(Part):
    """``left = exp(-rates . (effective hours now - at the start of the record))`` of each area's gap."""

    name, part, label = "practice", "practice", "practice"
    values = (
        Value("gain", None, "strokes per 20 hours, reference golfer", ("category",), "what practice saves"),
        Value("rate_area", None, "share of the gap closed per 20 hours", ("category", "area")),
        Value(
            "log_half_life",
            Normal(0.0, HALF_LIFE_SD),
            "log of half-life over the category's prior half-life",
            ("category",),
            "how long practice lasts",
        ),
        Value(
            "log_bend",
            Normal(0.0, BEND_SD),
            "log of bend over the specification's bend",
            ("category",),
            "how soon practice wears out",
        ),
    )
    inner = (
        Value("start_known", None, "share of the steady stock held at the start of the record"),
        Value("start_new", None, "the same of a golfer who was new to the club"),
        Value("gain_common_z", None, "standard normal behind what categories share of their gains"),
        Value("gain_category_z", None, "standard normal behind each category's own part", ("category",)),
    )
    constants = (
        Constant(
            "gain_median",
            0.35,
            "strokes per 20 hours for the reference golfer, every category",
            JUDGED,
            "a keen 18-handicapper on four hours a week who gains 1-2 strokes in half a year from a "
            "low base; "
            "the published share of practice in sporting performance (18 % of variance, Macnamara, Moreau & "
            "Hambrick 2016, read) allows no more",
        ),
        Constant(
            "gain_common_width",
            1.5,
            "width of the common rate on the scale of softplus(0.54 + width * z)",
            JUDGED,
            "95 % of the prior lies between 0.09 and 3.5 times the median; the mass near nothing is "
            "what a club "
            "may need",
        ),
        Constant(
            "gain_category_width",
            0.7,
            "the same for each category around the common rate",
            JUDGED,
            "0.3 to 2 times. Practice areas share most of what is known; wider, a plan follows luck",
        ),
        Constant(
            "gain_medians", None, "by category name, from a coach's expectations; the shared one where unsaid"
        ),
        Constant(
            "gain_widths", None, "by category name, from a coach's expectations; the shared one where unsaid"
        ),
        START_MEAN,
        START_SD,
        Constant("start_share_most", 1.2, "share", JUDGED, START_SHARE),
        Constant("start_share_newcomer", -1.5, "logit", JUDGED, START_SHARE),
    )

    def declare(self, p: Values, data: Any, priors: Mapping[str, Any]) -> Values:
        """Declare gains, half-lives and start shares in the current PyMC model; return ``p`` with them."""
        import pymc as pm
        import pytensor.tensor as pt

        if not data.categories:
            none = pt.zeros((0,))
            nothing = {"rate_area": pt.zeros((0, len(AREAS))), "log_half_life": none, "log_bend": none}
            return p | nothing | {"start_known": pt.ones(()), "start_new": pt.ones(())}
        gain = gains([category.name for category in data.categories], priors)
        found = {"gain": gain, **declared(self.values, priors)}
        gap = reference_gap(data, priors, data.serves)
        rates = rates_of(gain, found["log_bend"], gap, data.serves, data.bend_hours, pt)
        found["rate_area"] = pm.Deterministic("rate_area", rates, dims=("category", "area"))
        mean = Normal(START_MEAN, START_SD).declare("start_share_mean", priors)
        found["start_known"] = priors["start_share_most"] * pt.sigmoid(mean)
        found["start_new"] = priors["start_share_most"] * pt.sigmoid(mean + priors["start_share_newcomer"])
        return p | found


def gains(names: list[str], priors: Mapping[str, Any]) -> Any:
    """Declare strokes per 20 hours for the reference golfer, mass near nothing, shape (J,)."""
    import pymc as pm
    import pytensor.tensor as pt

    common = pm.Normal("gain_common_z", 0.0, 1.0)
    own = pm.Normal("gain_category_z", 0.0, 1.0, dims="category")
    rate = pt.softplus(SOFTPLUS_ZERO + priors["gain_common_width"] * common)
    real = np.array([name != "phantom" for name in names])
    medians, widths = np.array([gain_of(priors, name) for name in names]).T
    factor = pt.softplus(SOFTPLUS_ZERO + widths * own)
    # The phantom does not borrow from the real categories: nothing is known about it beforehand.
    alone = pt.softplus(SOFTPLUS_ZERO + priors["gain_common_width"] * own)
    return pm.Deterministic("gain", medians * pt.where(real, rate * factor, alone), dims="category")


def gain_of(priors: Mapping[str, Any], name: str) -> tuple[float, float]:
    """Median gain of a category in strokes per 20 hours, and the width of its own part."""
    medians, widths = dict(priors["gain_medians"] or ()), dict(priors["gain_widths"] or ())
    return medians.get(name, priors["gain_median"]), widths.get(name, priors["gain_category_width"])


def reference_gap(shape: Any, priors: Mapping[str, Any], serves: Any) -> Any:
    """Strokes that the reference golfer could still close in what each category serves, shape (J,).

    ``shape`` has ``floor`` and ``reference_level``: a specification, or the data of a fit.
    """
    share = np.array(priors["share"]) / sum(priors["share"])
    return serves @ (share * shape.reference_level - shape.floor)


def bend_factor(log_bend: Any, bend: float, xp: Any = np) -> Any:
    """What a rate is multiplied by for :func:`stock_weights`, so that the first hours return the same.

    Effective hours of a category that bends at ``c`` hours instead of ``b`` are ``S / (1 + S / c)``, which is
    ``c / b`` times those of a stock counted ``b / c`` times. Times ``(1 + R / c) / (1 + R / b)``, with
    :data:`KNOWN_HOURS` R, the first R hours return what they do at ``b``: in all ``(c + R) / (b + R)``.
    """
    return (bend * xp.exp(log_bend) + KNOWN_HOURS) / (bend + KNOWN_HOURS)


def rates_of(gain: Any, log_bend: Any, gap: Any, serves: Any, bend: float, xp: Any = np) -> Any:
    """Share of each gap closed per 20 effective hours, (..., J, K), of gains (..., J) and their bends.

    ``gap`` (J,) is what the reference golfer could still close of what each category serves (J, K).
    """
    return (gain * bend_factor(log_bend, bend, xp) / gap)[..., None] * serves


def stock_weights(p: Values, xp: Any = np) -> list[Any]:
    """Weights of the tabulated half-lives, (..., J) each, for a stock counted by its category's own bend.

    So counted it bends at the specification's hours whatever the category; see :func:`bend_factor`. A fit of
    before there was such a value knows one bend.
    """
    weights = node_weights(p["log_half_life"])
    if "log_bend" not in p:
        return weights
    counted = xp.exp(-p["log_bend"])
    return [weight * counted for weight in weights]


def start_share(p: Values, joined: Any) -> Any:
    """Expected share of the steady stock held at the start of the record, (..., T), by who was new (T,)."""
    return p["start_known"][..., None] + (p["start_new"] - p["start_known"])[..., None] * joined


def gap_left(p: Values, doses: Any, bend: float, xp: Any) -> tuple[Any, Any]:
    """Share of each area's gap still open, and what a higher start share does to it, (..., K, T) each.

    Both follow from effective hours now minus at the start of the record, and from the derivative of that
    by the share of the steady stock that was held at the start.

    Parameters
    ----------
    p : Mapping
    doses : Occasions
        ``stock`` and ``held`` (H, J, T), ``habit`` (J, T), ``steady`` (H, J) and ``joined`` (T,).
    bend : float
        Hours at which effective hours are half of the stock, of a category whose ``log_bend`` is 0.
    xp : module
    """
    fresh: Any = 0.0
    held: Any = 0.0
    steady: Any = 0.0
    for node, weight in enumerate(stock_weights(p, xp)):
        fresh = fresh + weight[..., None] * doses.stock[node]
        held = held + weight[..., None] * doses.held[node]
        steady = steady + weight * doses.steady[node]
    share = start_share(p, doses.joined)[..., None, :]
    start = steady[..., None] * doses.habit
    # Interpolation may undershoot zero by a hair.
    now = xp.maximum(fresh + share * held, 0.0)
    change = bent(now, bend) - bent(share * start, bend)
    slope = held * bend_slope(now, bend) - start * bend_slope(share * start, bend)
    rates = xp.swapaxes(p["rate_area"], -1, -2) / HOURS_UNIT
    left = xp.exp(-(rates @ change))
    return left, -left * (rates @ slope)


class Response(Effect):
    """The share by which a golfer's gains differ from the club's, and his own share of stock at the start."""

    name = "response"
    stored = ("response", ("golfer",), "share by which gains from practice differ from the club's")
    values = (
        Value(
            "sd_response",
            HalfNormal(Constant("response_spread", 0.4, "share", JUDGED, "between golfers")),
            "share",
            label="how golfers differ in their answer to practice",
        ),
    )

    def size(self, data: Any) -> int:
        """One."""
        return 1

    def cover(self, p: Values, data: Any, xp: Any) -> Any:
        """Spread between golfers."""
        return independent([p["sd_response"]], xp)

    def weighed(self, here: Here) -> Weighed:
        """By what practice has closed."""
        return [[here.respond[..., k, :] for k in range(len(AREAS))]]


class Start(Effect):
    """A golfer's own share of stock at the start of the record, linearised about the expected one."""

    name = "start"
    stored = ("start_extra", ("golfer",), "the golfer's own start share beyond the expected one")
    fixed = (("sd_start", Constant("start_share_spread", 0.3, "share", JUDGED, START_SHARE)),)

    def size(self, data: Any) -> int:
        """One."""
        return 1

    def cover(self, p: Values, data: Any, xp: Any) -> Any:
        """Spread between golfers, the same in every draw."""
        return independent([p["sd_start"] + 0.0 * p["sd_response"]], xp)

    def weighed(self, here: Here) -> Weighed:
        """By what a higher share would do to the gap."""
        return [[here.begin[..., k, :] for k in range(len(AREAS))]]
