"""A broken file is read on with stand-ins, and what only follows from those is recognised."""

import pytest

from recipe_track.errors import Fault, Key
from recipe_track.recipe.layup import Zone
from recipe_track.textfiles.meaning.stand_ins import mend

ZONE = "models/pb/deck/side.toml"
TEXT = b'area_m2 = "two"\ncentriod_m = [0, 0, 0]\nexten = 1\nlayup = [ { material = "paint", plies = 2 } ]\n'


def test_what_could_be_read_is_kept_beside_the_stand_ins() -> None:
    mended = mend(ZONE, TEXT)
    assert mended is not None
    assert isinstance(mended.model, Zone)
    assert [(layer.material, layer.plies) for layer in mended.model.layup] == [("paint", 2)]


@pytest.mark.parametrize(
    ("key", "hidden"),
    [
        (("area_m2",), True),  # a stand-in
        (("centroid_m",), True),
        (("extent",), True),  # probably meant by the misspelled key
        (("layup", 0, "material"), False),
        (("panel",), False),
    ],
)
def test_only_faults_of_stand_ins_are_hidden(key: Key, hidden: bool) -> None:
    mended = mend(ZONE, TEXT)
    assert mended is not None
    assert mended.hides(Fault(ZONE, key, "code", "wrong")) is hidden


@pytest.mark.parametrize("path", ["README.toml", "materials/x.toml"])
def test_a_file_of_no_kind_cannot_be_mended(path: str) -> None:
    assert mend(path, b"\xff\xfe") is None


def test_a_key_that_can_only_be_true_is_mended() -> None:
    text = b'kind = "reinforcement"\nfibre = "e"\nareal_mass_g_m2 = 1\ndirections = [{ random = false, share = 1.0 }]\n'
    mended = mend("materials/mat.toml", text)
    assert mended is not None
    assert mended.model.directions[0].random is True  # type: ignore[attr-defined]


def test_a_file_with_too_many_faults_is_lost() -> None:
    assert mend(ZONE, b"".join(b"key%d = 1\n" % n for n in range(1_001))) is None
