"""A waived finding stays waived: through a small move, a new number and a new issue; else it needs a look."""

from __future__ import annotations

from pathlib import Path

from held.revising import Office, a_wall, stations
from perpend.report import Results


def waived(results: Results) -> list[str]:
    return [f.code for f in results.all_findings if f.waived]


def an_accepted_clash(tmp_path: Path) -> Office:
    """A joint that the engineer moved under a window's lintel, and whose finding was waived."""
    office = Office(tmp_path, a_wall())
    office.annotate(issue="Bid set")
    office.move("2", 24.0)
    results = office.annotate()
    finding = next(f for f in results.walls[0].findings if f.code == "joint-through-lintel")
    text = (
        f'[[waivers]]\nfingerprint = "{finding.fingerprint}"\nreason = "Agreed on site."\nwho = "R. Oduya"\n'
    )
    for n in range(20):
        (tmp_path / f"south-{n}.waivers.toml").write_text(text, encoding="utf-8")
    return office


def test_it_stays_waived_through_issues_and_numbers(tmp_path: Path) -> None:
    office = an_accepted_clash(tmp_path)
    assert waived(office.annotate()) == ["joint-through-lintel"]
    office.settings.write_text('renumber = "always"\n', encoding="utf-8")
    office.copy("1", 40.0)
    results = office.annotate(issue="Addendum 1")
    assert "joint-through-lintel" in waived(results)
    assert "3" in stations(results)


def test_it_survives_a_move_within_the_tolerance(tmp_path: Path) -> None:
    office = an_accepted_clash(tmp_path)
    office.annotate()
    office.move("2", -0.75)
    results = office.annotate()
    assert "joint-through-lintel" in waived(results)
    assert not [d for d in results.decisions if d.code == "waiver-loose"]


def test_one_that_fits_no_more_needs_a_look(tmp_path: Path) -> None:
    office = an_accepted_clash(tmp_path)
    office.annotate()
    office.move("2", -32.0)
    results = office.annotate()
    assert waived(results) == []
    assert [d.code for d in results.decisions].count("waiver-loose") == 1
