"""Rows of our own export that somebody changed: what no evening can have been is refused, nothing is filled in."""

from __future__ import annotations

import pytest

from trainer.core.conditions import CALM_WIND, UNKNOWN_WIND, WindKnowledge
from trainer.core.errors import InputError
from trainer.exchange.own_table import own_entry, own_setting, own_time

ROW = {
    "session": "3",
    "time": "2026-05-14T18:31:00+02:00",
    "club": "7 iron",
    "carry_m": "121.5",
    "resolution_m": "0.9144",
    "wind_knowledge": "read",
    "wind_mps": "5",
    "wind_from_deg": "30",
    "wind_height_m": "2",
    "gust_mps": "8",
    "temperature_k": "285",
    "pressure_pa": "99000",
    "target_m": "120",
}


def test_a_row_as_it_was_written_is_read() -> None:
    setting = own_setting(ROW)
    assert (setting.wind.knowledge, setting.wind.speed_mps, setting.wind.gust_mps) == (WindKnowledge.READ, 5.0, 8.0)
    assert setting.air is not None
    assert (setting.air.temperature_k, setting.target_m) == (285.0, 120.0)
    assert own_entry(ROW).resolution_m == 0.9144


@pytest.mark.parametrize(
    ("column", "cell"),
    [
        ("wind_mps", "41"),
        ("wind_mps", "-1"),
        ("wind_mps", ""),
        ("wind_from_deg", ""),
        ("wind_from_deg", "1e300"),
        ("wind_height_m", "0"),
        ("wind_height_m", "1e9"),
        ("gust_mps", "-1"),
        ("gust_mps", "1e9"),
        ("temperature_k", "5"),
        ("pressure_pa", "0"),
        ("target_m", "-120"),
        ("target_m", "1e9"),
    ],
)
def test_a_setting_that_no_evening_had_is_refused_by_its_column(column: str, cell: str) -> None:
    with pytest.raises(InputError, match=f"^{column}: "):
        own_setting({**ROW, column: cell})


@pytest.mark.parametrize("cell", ["0", "-1", "1e9"])
def test_a_distance_is_rounded_to_a_step_that_a_person_writes(cell: str) -> None:
    with pytest.raises(InputError, match=r"^resolution_m: "):
        own_entry({**ROW, "resolution_m": cell})


@pytest.mark.parametrize("cell", ["0001-01-01T00:00:00+10:00", "9999-12-31T23:59:59-10:00", "tomorrow"])
def test_a_time_that_no_shot_was_hit_at_is_refused(cell: str) -> None:
    with pytest.raises(InputError, match=r"^time: "):
        own_time({**ROW, "time": cell})


def test_a_wind_that_is_calm_or_not_known_has_no_numbers() -> None:
    calm = {"wind_knowledge": "calm", "wind_mps": "", "wind_from_deg": "", "gust_mps": ""}
    assert own_setting({**ROW, **calm}).wind == CALM_WIND
    assert own_setting({**ROW, "wind_knowledge": ""}).wind == UNKNOWN_WIND
