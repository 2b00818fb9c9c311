"""Writes the example surveys anew from the invented shells of the tests: run after a reading is added."""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests"))

from bodies import BODIES, HATCH, SALOON, placed, survey, without  # noqa: E402
from cagewright.plan.survey import (  # noqa: E402
    SurveyCar,
    SurveyCodriver,
    SurveyDriver,
    SurveyFile,
    WishesEntry,
)
from cagewright.plan.survey_text import survey_text  # noqa: E402

RALLY = {
    "title": "Pellworth rally hatchback",
    "car": SurveyCar(mass=HATCH.mass, body="three-door rally hatchback", rules=("fia-253-2020",)),
    "codriver": SurveyCodriver.model_validate({
        "hip": (1095, 345, 300), "head": (1210, 345, 950), "back_angle": "15 deg", "stature": 1730,
    }),
    "wishes": WishesEntry(door="X", roof="X", diagonals=2),
}  # fmt: skip
"""What the survey of the two-seater says otherwise than the small hatchback's."""
RALLY_BODY = replace(
    HATCH, foot=(320.0, 525.0, 200.0), hip=(1095.0, 345.0, 300.0), helmet=(1212.0, 345.0, 962.0)
)
"""The small hatchback with its legs' feet further forward and its seats upright."""
SIX = ("turret", "dash", "rail_mid", "roof_mid", "header", "back_angle")
CAREFUL = "an invented car, read by a careful man to the millimetre."


def example_surveys() -> dict[str, str]:
    """The text of each example survey by its name."""
    whole = {name: to_the_mm(survey(body)) for name, body in BODIES.items()}
    texts = {name: text(whole[name], f"The {BODIES[name].name}, {CAREFUL}") for name in BODIES}
    where = placed(SALOON)
    low = {n: where[n] - np.array([0.0, 0.0, 400.0]) for n in ("cant_rail_left", "cant_rail_right")}
    high = {"helmet": where["helmet"] + np.array([0.0, 0.0, 385.0])}
    cannot = to_the_mm(survey(SALOON, moved=low | high))
    texts["impossible"] = text(
        cannot,
        "The saloon again, with the roof rail below the mark under it and the helmet through the roof.",
    )
    half, up = whole["saloon"].readings["waist"]["left"]
    assert half is not None
    slipped = whole["saloon"].readings | {
        "waist": {**whole["saloon"].readings["waist"], "left": (half - 50.0, up)}
    }
    texts["slip"] = text(
        whole["saloon"].model_copy(update={"readings": slipped}),
        "The saloon again, with the left half width at the waist written down 50 mm short.",
    )
    texts["six-missing"] = text(
        without(whole["saloon"], *SIX),
        "The saloon again, with six readings not taken, nor anything taped to their marks: backstays' feet,\n"
        "# dash, rail and roof half way, header, lean of the seat's back.",
    )
    texts["rally"] = text(
        upright(to_the_mm(survey(RALLY_BODY))).model_copy(update=RALLY),
        "The Pellworth again, for a driver and a codriver; examples/pellworth.yaml began as its draft.",
    )
    uneven = to_the_mm(survey(replace(SALOON, skew=12.0)))
    texts["uneven"] = text(uneven, "The saloon again after a knock: its right side stands 12 mm further out.")
    return texts


def upright(file: SurveyFile) -> SurveyFile:
    """The survey with its seat's back 15 degrees from upright, by gauge and by stick."""
    lean = {"back_angle": {"": (math.radians(15.0),)}, "back_offset": {"": (129.0,)}}
    return file.model_copy(update={"readings": file.readings | lean})


def to_the_mm(file: SurveyFile) -> SurveyFile:
    """The survey as a tape is read: whole millimetres; leans as they are."""
    rounded = {
        name: {
            part: tuple(v if v is None or abs(v) < 2.0 else float(round(v)) for v in values)
            for part, values in parts.items()
        }
        for name, parts in file.readings.items()
    }
    return file.model_copy(update={"readings": rounded})


def text(file: SurveyFile, head: str) -> str:
    """The survey's text under a line that says what it is."""
    said = {"shop": "../brackwater.shop.yaml", "driver": SurveyDriver(stature=1790.0)}
    return f"# {head}\n{survey_text(file.model_copy(update=said))}"


if __name__ == "__main__":
    for name, written in example_surveys().items():
        (ROOT / "examples" / "surveys" / f"{name}.yaml").write_text(written, encoding="utf-8")
