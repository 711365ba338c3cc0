"""Predictions of a book's designs on a motor, a supply and a craft."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from isothrust.errors import UsageError, Where
from isothrust.records.book import Book, Campaign
from isothrust.records.motor import MotorModel
from isothrust.records.prediction import Craft, Estimated, Power, Prediction
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Result
from isothrust.reduction.machines import absent, machine_batch
from isothrust.reduction.pooling import CampaignRuns, Question, pool_campaign
from isothrust.reduction.predicting import Ground, predict_figures
from isothrust.reduction.propellerload import extended_load, load_at_place, propeller_load
from isothrust.reduction.warming import warm_at_full_throttle, warm_in_hover
from isothrust.workflows.motor_choice import ChosenMotor, check_motor, motor_named
from isothrust.workflows.place import place_of
from isothrust.workflows.results import campaign_runs
from isothrust.workflows.selection import Selection, campaigns_asked, designs_asked

__all__ = ["PredictAsked", "check_predict", "predict_designs"]

CAUTION = (
    "Predictions are estimates, not airworthiness: prove every craft on the ground, out of the plane of rotation, and "
    "put local flying rules first."
)
CLEAR = "They hold for propellers in clear air: arms, ducts and one another's wake are not in them."
TREND = (
    "Of propellers with equal blade count, the one of higher inflow ratio tends to be faster on top and rougher in "
    "propwash."
)


@dataclass(frozen=True, slots=True)
class PredictAsked:
    """What is to be predicted."""

    designs: tuple[str, ...]
    motor: str
    power: Power
    campaigns: tuple[str, ...] = ()
    craft: Craft | None = None
    altitude: float | None = None
    temperature: float | None = None
    extrapolate: bool = False


def check_predict(book: Book, asked: PredictAsked) -> None:
    """Raise UsageError where anything asked is not in the book or cannot be: before hours of reducing, not after."""
    selection = Selection(designs=asked.designs, campaigns=asked.campaigns)
    designs_asked(book, selection)
    campaigns_asked(book, selection)
    check_motor(book, asked.motor)
    place_of(book.standard_density, asked.altitude, asked.temperature)


def predict_designs(book: Book, reduced: Iterable[ReducedRun], asked: PredictAsked) -> tuple[Prediction, ...]:
    """Return one prediction for each design and campaign that has runs of it.

    Raises
    ------
    UsageError
        Where a design, motor or campaign is unknown, or none of the campaigns has a run of a design.
    """
    check_predict(book, asked)
    runs = list(reduced)
    found = tuple(_predictions(book, runs, asked))
    if not found:
        raise UsageError(
            f"no campaign asked for has a run of {', '.join(asked.designs)}",
            code="no-runs-of-design",
            where=Where(" ".join(asked.designs)),
            expected="a design that was run, in a campaign that is asked for",
            fix="isothrust results  lists what was run",
        )
    return found


def _predictions(book: Book, runs: list[ReducedRun], asked: PredictAsked) -> Iterator[Prediction]:
    selection = Selection(designs=asked.designs, campaigns=asked.campaigns)
    for name in campaigns_asked(book, selection):
        campaign = book.campaigns[name]
        ran = {run.design for run in campaign.runs}
        designs = [design for design in designs_asked(book, selection) if design in ran]
        if not designs:
            continue
        motor = motor_named(book, runs, asked.motor, name)
        counted = campaign_runs(book, campaign, [run for run in runs if run.campaign == name])
        for design in designs:
            yield _predicted(book, counted, campaign, design, motor, asked)


def _predicted(
    book: Book, counted: CampaignRuns, campaign: Campaign, design: str, chosen: ChosenMotor, asked: PredictAsked
) -> Prediction:
    place = place_of(book.standard_density, asked.altitude, asked.temperature)
    motor = chosen.model
    empty = Prediction(design, campaign.name, motor, asked.power, place, asked.craft, (), notes=(CAUTION, CLEAR, TREND))
    load, reason = propeller_load(counted, design, book.standard_density)
    if load is None:
        return replace(empty, figures=(absent("peak-thrust", reason),))
    load = load_at_place(load, place)
    used = extended_load(load) if asked.extrapolate else load
    rotors = asked.craft.rotors if asked.craft is not None else 1
    batch = machine_batch(used, motor, asked.power, rotors=rotors)
    inertia, shift, why = _inertia(counted, campaign, design, motor)
    ground = Ground(
        batch=warm_at_full_throttle(batch, chosen.heating, place.temperature),
        hover_batch=warm_in_hover(batch, chosen.heating, place.temperature),
        load=used,
        motor=motor,
        power=asked.power,
        place=place,
        design=book.designs[design],
        craft=asked.craft,
        extrapolate=asked.extrapolate,
        inertia=inertia,
        inertia_shift=shift,
        inertia_absent=why,
    )
    figures: tuple[Estimated, ...] = predict_figures(ground)
    return replace(empty, figures=figures, flags=load.flags)


def _inertia(
    counted: CampaignRuns, campaign: Campaign, design: str, motor: MotorModel
) -> tuple[Result | None, float | None, str]:
    """Return what turned on the campaign's motor, what this one's rotor has more, and why that is not known."""
    (result,) = pool_campaign(counted, [Question("rotor-inertia", None, (), (design,))])
    if result.value is None:
        return None, None, f"the rotor's inertia is not known: {result.absent}"
    own = campaign.motor.name if campaign.motor is not None else campaign.rig.motor
    if own == motor.name:
        return result, 0.0, ""
    before = None if campaign.motor is None else campaign.motor.rotor_inertia
    if before is None or motor.rotor_inertia is None:
        which = own if before is None else motor.name
        reason = f"motors.csv states no rotor inertia of motor {which}: that of the propeller alone cannot be told"
        return result, None, reason
    return result, motor.rotor_inertia - before, ""
