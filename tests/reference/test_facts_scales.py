"""Surface classes, tolerance grades and hardness against their printed tables."""

import pytest

from gapwright.facts.finish import charted_roughness, class_roughness, vdi_3400_class, vdi_3400_number
from gapwright.facts.fits import grade_width, grades
from gapwright.facts.hardness import hardness
from tests.printed import printed

FINE = "0.10 0.11 0.13 0.14 0.16 0.18 0.20 0.22 0.25 0.28 0.32 0.35 0.40 0.45 0.50 0.56 0.63"
COARSE = "1.4 1.6 1.8 2.0 2.2 2.5 2.8 3.2 3.5 4.0 4.5 5.0 5.6 6.3 7.1 7.9 8.9"
CHART = dict(enumerate(FINE.split())) | dict(enumerate(COARSE.split(), start=23))

ISO_286 = {
    "IT1": "0.8 1 1",
    "IT2": "1.2 1.5 1.5",
    "IT3": "2 2.5 2.5",
    "IT4": "3 4 4",
    "IT5": "4 5 6",
    "IT6": "6 8 9",
    "IT7": "10 12 15",
    "IT8": "14 18 22",
    "IT9": "25 30 36",
    "IT10": "40 48 58",
    "IT11": "60 75 90",
    "IT12": "100 120 150",
    "IT13": "140 180 220",
    "IT14": "250 300 360",
}


@pytest.mark.source("vdi-3400", "chart of classes 0 to 16 and 23 to 39: Ra in µm")
@pytest.mark.parametrize(("number", "ra"), CHART.items())
def test_class_roughness_is_that_of_the_chart(number, ra):
    assert class_roughness(number) * 1e6 == printed(ra)


@pytest.mark.source("vdi-3400", "chart of classes 0 to 16 and 23 to 39")
def test_chart_is_kept_whole():
    assert {n: ra * 1e6 for n, ra in charted_roughness().items()} == {
        n: printed(ra) for n, ra in CHART.items()
    }


@pytest.mark.source("vdi-3400", "chart of classes 0 to 16 and 23 to 39")
@pytest.mark.parametrize(("number", "ra"), CHART.items())
def test_charted_roughness_has_its_class(number, ra):
    assert vdi_3400_class(float(ra) * 1e-6) == number


@pytest.mark.source("vdi-3400", "K = 20 log10(10 Ra/µm): Ra 10 µm is class 40")
def test_ten_micrometres_is_class_40():
    assert vdi_3400_number(10e-6) == pytest.approx(40.0, rel=1e-12)
    assert vdi_3400_class(10e-6) == 40


@pytest.mark.source("iso-286-1", "IT1 to IT14 for sizes up to 3, 6 and 10 mm: µm")
@pytest.mark.parametrize("grade", ISO_286)
def test_grade_widths(grade):
    widths = [grade_width(grade, size=size) * 1e6 for size in (2e-3, 5e-3, 8e-3)]
    assert widths == [printed(text) for text in ISO_286[grade].split()]
    assert tuple(ISO_286) == grades()


@pytest.mark.source("iso-286-1", "IT7 up to 3 mm is 10 µm, where 16 i of the formula gives 8.7 µm")
def test_it7_of_the_smallest_sizes():
    assert grade_width("IT7", size=0.6e-3) * 1e6 == printed("10")
    assert grade_width("IT7", size=3e-3) * 1e6 == printed("10")


@pytest.mark.source("astm-a370-03a", "60 HRC: 697 HV, 654 HB, 81.2 HRA; 59 HRC: 2420 MPa")
def test_hardness_at_60_hrc():
    assert hardness(60, "vickers").value == printed("697")
    assert hardness(60, "brinell").value == printed("654")
    assert hardness(60, "rockwell_a").value == printed("81.2")
    assert hardness(59, "tensile_strength").value / 1e6 == printed("2420")


@pytest.mark.source("astm-a370-03a", "40, 50, 63, 66 and 68 HRC in HV")
@pytest.mark.parametrize(
    ("hrc", "vickers"), [(40, "392"), (50, "513"), (63, "772"), (66, "865"), (68, "940")]
)
def test_vickers_rows(hrc, vickers):
    assert hardness(hrc, "vickers").value == printed(vickers)
