"""Plural rules against Babel, which carries those of Unicode's CLDR for every language."""

from pathlib import Path
from shutil import copytree
from typing import cast

import pytest
from babel import Locale
from babel.localedata import locale_identifiers

from voicelog.data_files.languages import language_codes, language_folder, load_language
from voicelog.errors import GrammarError
from voicelog.grammar.plurals import Category, category

LANGUAGES = sorted({code.split("_")[0] for code in locale_identifiers()} - {"root"})
COUNTS = (*range(205), 1000, 1001, 1012, 1_000_000)


def rules_of(code: str) -> dict[Category, str]:
    """The rules of a language; Babel writes them with words in the place of signs."""
    signs = {" not in ": " != ", " in ": " = ", " mod ": " % "}
    found = dict(Locale(code).plural_form.rules)
    for word, sign in signs.items():
        found = {name: rule.replace(word, sign) for name, rule in found.items()}
    return cast(dict[Category, str], found)


@pytest.mark.parametrize("code", LANGUAGES)
def test_every_language_has_the_form_that_babel_has(code: str) -> None:
    rules, form = rules_of(code), Locale(code).plural_form
    assert [category(rules, count) for count in COUNTS] == [form(count) for count in COUNTS]


@pytest.mark.parametrize("code", language_codes())
def test_a_shipped_language_has_the_rules_of_its_own(code: str) -> None:
    ours, theirs = load_language(language_folder(code)).texts.plurals, Locale(code).plural_form
    assert [category(ours, count) for count in COUNTS] == [theirs(count) for count in COUNTS]


@pytest.mark.parametrize(
    ("rules", "named"),
    [
        ('one = "n is 1"', "n is 1"),
        ('few = "n % 0 = 1"', "n % 0 = 1"),
        ('one = "n = 1"\nfew = "n = 2..4"', "must have the forms few, one, other"),
    ],
)
def test_rules_that_do_not_fit_are_named_with_their_file(
    tmp_path: Path, rules: str, named: str
) -> None:
    folder = copytree(language_folder("ko"), tmp_path / "ko")
    texts = folder / "texts.toml"
    texts.write_text(texts.read_text().replace("[plurals]", f"[plurals]\n{rules}"))
    with pytest.raises(GrammarError, match=r"texts\.toml") as error:
        load_language(folder)
    assert named in str(error.value)


def test_a_language_of_three_forms_needs_only_its_words(tmp_path: Path) -> None:
    """Polish: 1 wizyta, 2 wizyty, 5 wizyt (CLDR)."""
    folder = copytree(language_folder("ko"), tmp_path / "ko")
    texts, forms = folder / "texts.toml", 'one = "{count} wizyta", few = "{count} wizyty", '
    rules = 'one = "n = 1"\nfew = "n % 10 = 2..4 and n % 100 != 12..14"'
    told = texts.read_text().replace("[plurals]", f"[plurals]\n{rules}")
    texts.write_text(told.replace('{ other = "', "{ " + forms + 'other = "'))
    polish = load_language(folder).texts
    visits = polish.tables.progress.visits
    heard = [polish.counted(visits, count).split()[-1] for count in (1, 2, 12, 22)]
    assert heard == ["wizyta", "wizyty", "12회", "wizyty"]


def test_every_unit_has_every_form_of_its_language(tmp_path: Path) -> None:
    folder = copytree(language_folder("en"), tmp_path / "en")
    texts = folder / "texts.toml"
    texts.write_text(texts.read_text().replace('one = "{count} point", ', ""))
    with pytest.raises(GrammarError, match=r"findings / figures / units / points"):
        load_language(folder)


def test_a_number_as_it_is_written_has_the_form_that_babel_has() -> None:
    """English says one point, and 1.0 degrees: decimals, even noughts, make a plural (CLDR)."""
    texts, form = load_language(language_folder("en")).texts, Locale("en").plural_form
    units = texts.findings.figures.units
    assert texts.counted(units["points"], "1") == "1 point"
    for written in ("1", "2", "10", "1.1", "2.2"):
        singular = form(float(written)) == "one"
        assert texts.counted(units["points"], written).endswith("point") is singular
    assert texts.counted(units["degrees"], "1.0") == "1.0 degrees"
