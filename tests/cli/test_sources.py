"""The bibliography in the terminal."""

import json

from vrxapp.sources import bibliography, source


def test_a_source_is_told_with_its_grade_what_was_seen_and_its_uses(verb):
    code, out, _ = verb("sources", "moody-2007")
    entry = source("moody-2007")
    assert code == 0
    for part in (entry.key, entry.citation, entry.grade, entry.seen, "critical_values.csv"):
        assert str(part) in out


def test_all_sources_are_told_for_programs_too(verb):
    _, out, _ = verb("sources", "--json")
    told = json.loads(out)
    assert [entry["key"] for entry in told] == [entry.key for entry in bibliography()]
    assert all(entry["tables"] or entry["modules"] for entry in told)


def test_a_grade_chooses_and_the_last_line_counts(verb):
    _, out, _ = verb("sources", "--grade", "from memory, unverified")
    count = sum(entry.grade == "from memory, unverified" for entry in bibliography())
    assert out.splitlines()[-1] == (
        f"{count} sources: 0 published, 0 common practice, no source, "
        f"{count} from memory, unverified"
    )


def test_a_key_that_nobody_defined_is_answered_with_those_like_it(verb):
    code, out, said = verb("sources", "moody-1999")
    assert (code, out) == (1, "")
    assert "no entry 'moody-1999'. Choose one of: moody-2006, moody-2007." in said
