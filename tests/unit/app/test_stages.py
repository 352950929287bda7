from gapwright.app.form_fields import walk
from gapwright.app.stages import STAGES, stage_named, stage_of, words
from gapwright.rig.job import Job
from gapwright.rig.rig import Rig
from tests import made_up

OF_NO_STAGE = {"name", "setup", "priors", "limits", "between_holes", "setup.surroundings"}


def test_every_stage_of_a_ledger_has_its_words() -> None:
    named = {line.stage for line in made_up.ledger().accounts}
    assert named <= {stage.stage for stage in STAGES}
    assert all(stage.happens.endswith(".") and stage.matters.endswith(".") for stage in words().stages)


def test_every_part_of_a_file_lies_at_a_stage() -> None:
    parts = [*walk(Rig, {}, ""), *walk(Job, {}, "")]
    lost = [part.path for part in parts if not stage_of(part.path)]
    assert {path.split(".")[0] if path.split(".")[0] in OF_NO_STAGE else path for path in lost} <= OF_NO_STAGE


def test_a_stage_without_words_speaks_for_itself() -> None:
    assert stage_named("mirror").title == "Mirror"
