"""Symptom texts are sorted by an editable vocabulary; what it does not know stays, and is counted."""

import pytest

from maintkit.records.errors import RecordsError
from maintkit.records.wording import Vocabulary, hear, load_vocabulary, sort_symptoms, vocabulary_beside


@pytest.fixture
def sort(facility):
    def run(*texts, vocabulary=None):
        desk = [{"desk": "Heron", "family": "l", "coupling": "dc", "records_from": "2014-10-01"}]
        connection = facility(
            desks=desk,
            tickets=[
                {"ticket": f"T{number:02d}", "raised_on": "2020-01-01", "desk": "Heron", "symptom": text}
                for number, text in enumerate(texts)
            ],
        )
        counts = sort_symptoms(connection, vocabulary)
        return counts, connection.execute(
            "select section, symptom, matched from symptom_words order by ticket"
        ).fetchall()

    return run


@pytest.mark.parametrize(
    ("text", "section", "symptom"),
    [
        ("Crackle on the fader", "fader", "crackle"),
        ("crakling EQ", "equaliser", "crackle"),
        ("scratchy pan pot", "pan", "scratchy"),
        ("thump when mute pressed", "mute or solo", "thump"),
        ("hum, left", None, "hum"),
        ("low level in monitor path", "monitor path", "low level"),
        ("left leg dead", None, "dead"),
        ("dead-leg", None, "dead"),
        ("stuck routing switch", "routing", "stuck"),
        ("meter reads low", "meter", "low level"),
        ("tape return noisy", "monitor path", "noise"),
        ("compressor distored", "dynamics", "distortion"),
        ("rails down, regulator hot", "power", "heat or smell"),
        ("mic input drops out when warm", "input", "drops out"),
        ("humming", None, "hum"),
        ("human error", None, None),
        ("Fader kratzt", "fader", "scratchy"),
        ("Kein Ton, Mikrofoneingang", "input", "dead"),
        ("rauscht stark im Abhörweg", "monitor path", "noise"),
        ("BRUMMEN links", None, "hum"),
        ("Aussetzer beim Bewegen des Potis", "pot", "drops out"),
        ("Wackelkontakt Klinke", "patch", "drops out"),
        ("Netzteil wird heiß", "power", "heat or smell"),
        ("Taste klemmt", "switch", "stuck"),
        ("dünn, Tiefen fehlen", None, "thin sound"),
        ("Höhen fehlen, Klangregelung", "equaliser", "dull sound"),
        ("Kompressor geht nicht", "dynamics", "acts wrongly"),
        ("zu leise am Ausgang", "output", "low level"),
        ("Lämpchen defekt", None, "no light"),
        ("Totalausfall", None, None),
    ],
)
def test_trade_words_are_understood(sort, text, section, symptom):
    assert sort(text)[1][0][:2] == (section, symptom)


def test_what_is_not_understood_stays_and_is_counted(sort):
    counts, rows = sort("hum", "something odd", None, "fader")
    assert rows == [(None, "hum", "hum"), (None, None, None), (None, None, None), ("fader", None, "fader")]
    assert str(counts) == (
        "3 tickets have a symptom text: 1 have a symptom word, 1 name a section, "
        "1 have neither and stay unsorted."
    )


def test_the_first_class_with_a_word_is_taken_and_the_longest_word_names_it(sort):
    vocabulary = Vocabulary(section={}, symptom={"first": ("no", "no signal"), "second": ("signal",)})
    assert sort("signal? no signal.", vocabulary=vocabulary)[1] == [(None, "first", "no signal")]


def test_words_match_whole_words_and_a_star_any_ending(sort):
    vocabulary = Vocabulary(section={"a": ("eq",)}, symptom={"b": ("crackl*",)})
    assert sort("frequency", "freq", "EQ!", "crackly-eq", vocabulary=vocabulary)[1] == [
        (None, None, None),
        (None, None, None),
        ("a", None, "eq"),
        ("a", "b", "crackly, eq"),
    ]


def test_signs_in_words_are_signs(sort):
    assert sort("a.b", "axb", vocabulary=Vocabulary(section={}, symptom={"c": ("a.b",)}))[1] == [
        (None, "c", "a.b"),
        (None, None, None),
    ]


def test_sorting_twice_gives_the_same_table(sort):
    assert sort("hum", "fader")[1] == sort("hum", "fader")[1]


def test_a_vocabulary_can_be_the_site_s_own(tmp_path):
    path = tmp_path / "words.toml"
    path.write_text('[symptom]\n"grumble" = ["grumbl*"]\n', encoding="utf-8")
    assert load_vocabulary(path) == Vocabulary(section={}, symptom={"grumble": ("grumbl*",)})


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            '[symptoms]\n"a" = ["b"]\n',
            "words.toml: found the part [symptoms]. There are two parts, [section] and [symptom].",
        ),
        (
            '[symptom]\n"a" = "b"\n',
            "words.toml [symptom] 'a': found 'b'. It must be a list of words in quotes, "
            'such as ["crackl*", "crakl*"].',
        ),
        (
            '[symptom]\n"a" = ["*"]\n',
            "words.toml [symptom] 'a': found ['*']. It must be a list of words in quotes, "
            'such as ["crackl*", "crakl*"].',
        ),
    ],
)
def test_a_mistake_in_the_vocabulary_gets_a_sentence(tmp_path, text, message):
    path = tmp_path / "words.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(RecordsError) as caught:
        load_vocabulary(path)
    assert str(caught.value) == message


def test_a_vocabulary_beside_the_records_is_taken_and_not_called_unread(book, load):
    folder = book()
    (folder / "wording.toml").write_text('[symptom]\n"odd" = ["hum"]\n', encoding="utf-8")
    report, _ = load(folder)
    assert report.unread == ()
    own, kit = vocabulary_beside(folder), load_vocabulary()
    assert own == vocabulary_beside(folder / "records.duckdb")
    assert [*own.symptom] == ["odd", *kit.symptom] and own.section == kit.section
    assert own.symptom["odd"] == ("hum",)
    assert own.symptom["hum"] == tuple(word for word in kit.symptom["hum"] if word != "hum")
    (folder / "wording.toml").write_text('[symptom]\n"crackle" = ["fizz*"]\n', encoding="utf-8")
    assert vocabulary_beside(folder).symptom["crackle"] == ("fizz*", *kit.symptom["crackle"])
    assert [*vocabulary_beside(folder).symptom] == [*kit.symptom]
    (folder / "wording.toml").unlink()
    assert vocabulary_beside(folder) == load_vocabulary()


@pytest.mark.parametrize(
    ("text", "symptoms"),
    [
        ("Fader kratzt und setzt aus", ("drops out", "scratchy")),
        ("hum, then dead", ("dead", "hum")),
        ("cuts in and out", ("drops out",)),
        ("thin, no bass", ("thin sound",)),
        ("lamp dead", ("no light",)),
        ("noisy when moved", ("scratchy",)),
        ("nothing known", (None,)),
    ],
)
def test_a_second_symptom_is_heard_where_another_clause_says_it(text, symptoms):
    assert hear(text, load_vocabulary()).symptoms == symptoms
