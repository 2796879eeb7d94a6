"""The look of the pages: one file each, nothing fetched, light and dark, fit for paper."""

from html import escape

_PAGE = """<!DOCTYPE html>
<html lang="{code}">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{title}</title>
<style>
{style}
</style>
</head>
<body>
<main>
{body}
</main>
</body>
</html>
"""

_COLOURS = """
:root { --ink: #1d2b33; --soft: #4a5a63; --line: #b9c4c9; --page: #fdfcf9; --lift: #f0efe8; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e8eef0; --soft: #b4c1c8; --line: #4a565d; --page: #14191d; --lift: #20272c; }
}
@media print {
  :root { --ink: #000; --soft: #333; --line: #999; --page: #fff; --lift: #fff; }
}
body { margin: 0; color: var(--ink); background: var(--page); font-family: system-ui, sans-serif; }
h1, h2, h3 { line-height: 1.25; break-after: avoid; }
li, tr, figure { break-inside: avoid; }
"""

NOTE = (
    _COLOURS
    + """
main { max-width: 62rem; margin: 0 auto; padding: 1.5rem 1rem 3rem; line-height: 1.5; }
h1 { font-size: 1.6rem; margin-bottom: 0.25rem; }
h2 { font-size: 1.2rem; margin-top: 2rem; border-bottom: 1px solid var(--line); }
h3 { font-size: 1rem; margin-bottom: 0.25rem; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: 0.35rem 0.6rem 0.35rem 0; }
th { color: var(--soft); border-bottom: 2px solid var(--line); }
td { border-bottom: 1px solid var(--line); }
figure { margin: 1rem 0; max-width: 40rem; }
.screen, .unconfirmed { background: var(--lift); padding: 0.1rem 1rem; border-radius: 0.5rem; }
.screen h2, .unconfirmed h2 { margin-top: 1rem; border: 0; }
footer { color: var(--soft); margin-top: 2rem; }
@page { size: A4; margin: 16mm; }
@media print {
  main { max-width: none; padding: 0; font-size: 10.5pt; }
  .wide { overflow: visible; }
}
"""
)

HOME = (
    _COLOURS
    + """
main { max-width: 46rem; margin: 0 auto; padding: 1.5rem 1rem; }
main { font-size: 1.3rem; line-height: 1.4; }
h1 { font-size: 2.1rem; margin: 0; }
h2 { font-size: 1.5rem; margin: 1.1rem 0 0.3rem; }
h3 { font-size: 1.3rem; margin: 0.6rem 0 0; }
p, ul, ol { margin: 0.2rem 0; }
.stop { border: 3px solid var(--ink); border-radius: 0.5rem; margin-top: 1rem; }
.stop { padding: 0.1rem 1rem 0.6rem; }
.line { display: inline-block; min-width: 16rem; border-bottom: 2px solid var(--ink); }
@page { size: A4; margin: 12mm; }
@media print {
  main { max-width: none; padding: 0; font-size: 14pt; line-height: 1.25; }
  h1 { font-size: 22pt; }
  h2 { font-size: 16pt; margin: 8pt 0 2pt; }
  h3 { font-size: 14pt; margin-top: 4pt; }
}
"""
)

CHEAT = (
    _COLOURS
    + """
main { max-width: 76rem; margin: 0 auto; padding: 1rem; font-size: 1.15rem; line-height: 1.35; }
h1 { font-size: 1.8rem; margin: 0 0 0.5rem; }
h2 { font-size: 1.3rem; margin: 0 0 0.3rem; border-bottom: 2px solid var(--line); }
section { margin-bottom: 1rem; }
p { margin: 0.2rem 0; break-inside: avoid; }
.columns { columns: 2 24rem; column-gap: 2.5rem; }
.foot { color: var(--soft); }
@page { size: A4; margin: 11mm; }
@media print {
  main { max-width: none; padding: 0; font-size: 12pt; line-height: 1.18; }
  h1 { font-size: 18pt; }
  h2 { font-size: 13.5pt; margin-bottom: 2pt; }
  section { margin-bottom: 6pt; }
  p { margin: 1.5pt 0; }
  .columns { columns: 2; column-gap: 8mm; }
}
"""
)


def words(text: str) -> str:
    """Any text as words of a page: on one line, and none of it markup."""
    return escape(" ".join("".join(c if c.isprintable() else " " for c in text).split()))


def page(title: str, style: str, body: str, code: str = "en") -> str:
    """A whole page in the language of that code. `title` is plain text, `body` finished HTML."""
    return _PAGE.format(title=words(title), style=style.strip(), body=body, code=words(code))
