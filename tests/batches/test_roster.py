"""The roster: what is understood, and every fault at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitter.base.errors import InputError
from fitter.batches.roster import Roster, by_roster, read_roster
from fitter.kit.inventory import Kit
from tests.batches import shop


@pytest.fixture
def kit(tmp_path: Path) -> Kit:
    return Kit.load(shop.kit(tmp_path / "kit"))


def roster(tmp_path: Path, kit: Kit, text: str) -> Roster:
    path = tmp_path / "roster.csv"
    path.write_text(text, encoding="utf-8")
    return read_roster(path, kit)


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_any_delimiter_and_wording(tmp_path: Path, kit: Kit, delimiter: str) -> None:
    lines = [
        ["Code", "Name in the log", "Handedness", "Present club", "Ball", "Consent", "Phone"],
        ["P1", "Guest 1", "left", "H1/S1", "B1", "yes", "0"],
        ["P2", "Guest 2", "", "10.5deg 60g S", "", "", ""],
        ["P3", "Guest 3", "RH", "unknown", "", "no", ""],
    ]
    found = roster(tmp_path, kit, "\n".join(delimiter.join(cells) for cells in lines))
    one, two, three = found.entries
    assert (one.code, one.hand, one.club.code[:5], one.ball, one.consent) == (
        "P1",
        "left",
        "H1/S1",
        "B1",
        True,
    )
    assert (two.hand, two.club.known, two.consent) == ("", True, False)
    assert two.club.head.stamped_loft_deg.value == 10.5
    assert (three.hand, three.club.known) == ("right", False)
    assert "Phone" in found.notices[0]


def test_a_card_lies_beside_the_roster(tmp_path: Path, kit: Kit, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "P1.toml").write_text('code = "P1"\n[stamped]\nloft_deg = 9\n', encoding="utf-8")
    monkeypatch.chdir("/")
    entry = roster(tmp_path, kit, "code,present\nP1,P1.toml\n").entries[0]
    assert entry.club.code.startswith("P1/P1")
    assert entry.name == "P1"


def test_every_fault_at_once(tmp_path: Path, kit: Kit) -> None:
    text = (
        "code,name,hand,present,consent\n"
        "P1,Guest 1,middle,H9/S1,yes\n"
        "P1,Guest 2,left,nowhere.toml,perhaps\n"
        ",Guest 2,right,thing,no\n"
    )
    with pytest.raises(InputError) as caught:
        roster(tmp_path, kit, text)
    seen = [p.where for p in caught.value.problems]
    for row, column in ((2, "hand"), (2, "present"), (3, "present"), (3, "consent"), (3, "code"),
                        (4, "code"), (4, "present"), (4, "name")):  # fmt: skip
        assert any(f"row {row}, {column}" in w for w in seen), (row, column, seen)
    assert all(p.found and p.allowed and p.do for p in caught.value.problems)


@pytest.mark.parametrize("text", ["", "a,b\n1,2\n", "code,name\n"])
def test_what_is_no_roster_is_refused(tmp_path: Path, kit: Kit, text: str) -> None:
    with pytest.raises(InputError):
        roster(tmp_path, kit, text)


def test_a_file_that_cannot_be_read_is_called_a_roster(tmp_path: Path, kit: Kit) -> None:
    with pytest.raises(InputError, match="allowed: a roster of players"):
        read_roster(tmp_path / "none.csv", kit)


def test_names_meet_in_any_spelling(tmp_path: Path, kit: Kit) -> None:
    found = roster(tmp_path, kit, "code,name\nP1,Ann  Lee\nP2,Bo\n")
    assert found.find(" ANN lee ").code == "P1"  # type: ignore[union-attr]
    assert found.find("p2").code == "P2"  # type: ignore[union-attr]
    assert found.find("Bob") is None


def test_the_roster_gives_the_hand_and_the_log_goes_before_it(tmp_path: Path, kit: Kit) -> None:
    entries = roster(tmp_path, kit, "code,hand\nG1,left\nG2,right\n")
    silent = shop.log(tmp_path / "silent.csv", "G1", "G2", leave=("hand",))
    (_, one, notes), (_, two, _) = by_roster(silent, entries)
    assert (one.hand, two.hand) == ("left", "right")
    assert (one.value("path_deg") == -two.value("path_deg")).all()
    assert not any("hand" in n for n in notes)
    said = shop.log(tmp_path / "said.csv", "G1")
    ((_, session, notes),) = by_roster(said, entries)
    assert session.hand == "right"
    assert any("the log counts" in n for n in notes)


def test_a_file_without_names_is_the_players_whose_code_it_carries(tmp_path: Path, kit: Kit) -> None:
    entries = roster(tmp_path, kit, "code,name\nP7,Guest 7\n")
    path = shop.log(tmp_path / "p7.csv", "", leave=("player",))
    ((entry, _, _),) = by_roster(path, entries)
    assert entry is not None
    assert entry.code == "P7"


def test_points_of_a_players_device(tmp_path: Path, kit: Kit) -> None:
    found = roster(tmp_path, kit, "code,face point,speed point\nP1,strike,\nP2,unknown,centre of gravity\n")
    assert [e.points for e in found.entries] == [
        (("face_point", "strike"),),
        (("speed_point", "centre of gravity"),),
    ]
    with pytest.raises(InputError) as error:
        roster(tmp_path, kit, "code,face point\nP1,heel\n")
    assert "centre, strike, unknown" in str(error.value)
