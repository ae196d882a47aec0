"""Books in French and in Spanish: the commonest words of headings, complaints and work, days with months by name."""

from tests.first_contact.test_shapes_of_books import loaded, workbook

FRENCH = """date;console;voie;défaut;intervention;pièce;durée;technicien
03/02/2021;Grande;voie 12;crache au fader;nettoyé;;20 min;Luc
9 février 2021;Grande;12;ronfle;condensateur C14 remplacé;100µF 63V;1h30;Anne
1er mars 2021;Petite;V3;pas de son;relais changé;relais 24V;45 min;Luc
17/03/2021;Grande;groupe 2;souffle;RAS;;15 min;Anne
06/04/2021;Petite;3;coupures;soudure sèche reprise;;½ h;Luc
12/05/2021;Grande;alim;ventilateur bruyant;à voir;;;Anne
20/05/2021;Petite;4 à 6;niveau faible;réglage;;45 min;Anne
21/06/2021;Grande;voie 8;HS;tranche échangée avec la réserve;;10 min;Luc
"""
SPANISH = """fecha;mesa;canal;avería;reparación;repuesto;minutos;técnico
04/02/2022;Mesa A;12;ruido al mover el fader;limpiado;;20;Eva
15/02/2022;Mesa A;canal 12;sin sonido;relé sustituido;relé 24V;45;Raúl
3 de marzo de 2022;Mesa B;3;zumbido;condensador C7 cambiado;220µF 35V;60;Eva
28/03/2022;Mesa A;8;se corta;soldado el conector;;30;Raúl
11/04/2022;Mesa B;1;bajo nivel;ajustado;;15;Eva
2 de septiembre de 2022;Mesa B;3;ruido;sin fallo;;10;Raúl
"""
WORK = "select action, count(*) from repairs group by 1 order by 1"


def test_a_french_log(tmp_path):
    (tmp_path / "journal.csv").write_bytes(FRENCH.encode("cp1252"))
    _, found, seen, work, time = loaded(
        tmp_path,
        "select desk, count(*), min(raised_on)::text, count(distinct position) from tickets group by 1 order by 1",
        "select outcome, count(*) from tickets where outcome is not null group by 1 order by 1",
        WORK,
        "select sum(bench_minutes) from repairs",
    )
    assert found == [("Grande", 5, "2021-02-03", 4), ("Petite", 5, "2021-03-01", 4)]
    assert seen == [("no fault found", 1), ("open", 1)]
    assert work == [
        ("adjust", 3),
        ("clean", 1),
        ("re-solder", 1),
        ("replace", 2),
        ("swap module", 1),
        ("test", 1),
        ("trace", 1),
    ]
    assert time == [(255.0,)]


def test_a_french_sheet_a_year(tmp_path):
    headings = (
        "Jour",
        "Table",
        "Tranche",
        "Panne constatée",
        "Travail effectué",
        "Pièces",
        "Par",
        "Séance perdue",
    )
    one = [
        ("8 janvier", "Studio 1", 2, "grésille", "nettoyé à la bombe", None, "Jo", "non"),
        ("22 avril", "Studio 1", 2, "faux contact", "connecteur ressoudé", None, "Jo", "oui"),
        ("14 juillet", "Studio 2", 7, "voyant éteint", "LED changée", "LED rouge", "Max", "non"),
        ("3 août", "Studio 1", 11, "plus de son", "AOP remplacé", "AOP double", "Max", "oui"),
        ("2 déc.", "Studio 2", 5, "muette", "rien trouvé", None, "Jo", "non"),
    ]
    other = [
        ("17 février", "Studio 2", 7, "saturé", "potentiomètre remplacé", "22k lin", "Jo", "non"),
        ("30 mai", "Studio 1", 4, "bruit", "contacts nettoyés", None, "Max", "non"),
        ("9 octobre", "Studio 1", 11, "bloqué", "interrupteur changé", "interrupteur", "Jo", "oui"),
    ]
    title = [("Carnet des pannes",), ()]
    workbook(
        tmp_path, "carnet.xlsx", **{"2018": [*title, headings, *one], "2019": [*title, headings, *other]}
    )
    _, found, lost, work = loaded(
        tmp_path,
        "select desk, year(raised_on), count(*), max(raised_on)::text from tickets group by all order by all",
        "select position from tickets where impact = 'stopped session' order by raised_on",
        WORK,
    )
    assert found == [
        ("Studio 1", 2018, 3, "2018-08-03"),
        ("Studio 1", 2019, 2, "2019-10-09"),
        ("Studio 2", 2018, 2, "2018-12-02"),
        ("Studio 2", 2019, 1, "2019-02-17"),
    ]
    assert lost == [("2",), ("11",), ("11",)]
    assert work == [("clean", 2), ("re-solder", 1), ("replace", 4), ("test", 1)]


def test_a_spanish_log(tmp_path):
    (tmp_path / "averias.csv").write_text(SPANISH, encoding="utf-8")
    _, found, seen, work = loaded(
        tmp_path,
        "select desk, count(*), max(raised_on)::text, count(distinct position) from tickets group by 1 order by 1",
        "select outcome, count(*) from tickets where outcome is not null group by 1 order by 1",
        WORK,
    )
    assert found == [("Mesa A", 3, "2022-03-28", 2), ("Mesa B", 3, "2022-09-02", 2)]
    assert seen == [("no fault found", 1)]
    assert work == [("adjust", 1), ("clean", 1), ("re-solder", 1), ("replace", 2), ("test", 1)]
