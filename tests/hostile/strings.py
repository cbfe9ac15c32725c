"""Odd things to write where something sane is expected: texts, numbers, units, torques, dates, formulas."""

from __future__ import annotations

SCALARS = (
    "", " ", "~", "null", "yes", "no", "on", "Off", "True", ".inf", "-.inf", ".nan", "0", "-0", "+1", "010", "0o17",
    "0x1F", "0b101", "1_000", "1e3", "1E400", "1:30", "190:20:30", "<<", "=", "-", "?", ":", "|", ">", ">-", "|+", "%",
    "@at", "`tick`", "!", "!!", "&", "*", "#", " # no", "[", "]", "{", "}", "[]", "{}", "[[]]", "{{}}", "[,]", "{,}",
    ",", "'", '"', "''", '""', '"\\"', "'it''s'", '"\\x00"', '"\\e[31mred\\e[0m"', '"\\u202Eabc"', '"\\u200b"',
    '"\\U0001F600"', '"\\ud800"', '"\\L\\P\\N\\_"', '"\\x7f\\x9b31m"', '"a\\nb"', '"a\\r\\nb"', '"\\t"', "---", "...",
    "--- a", "- - - a", "? a", "a: b: c", "__proto__", "constructor", "toString", "hasOwnProperty", "__class__",
    "{__class__}", "{0}", "{x.y}", "{pump_bolts", "pump_bolts}", "{{pump_bolts}}", "{}", "%s%n%x", "${x}", "{{ 7*7 }}",
    "{% raw %}", "../../etc/passwd", "..\\..\\boot", "/dev/zero", "C:\\con", "file:///etc/passwd",
    "http://example.invalid/x.svg", "javascript:alert(1)", "data:text/html,<script>alert(1)</script>",
    "<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "</script><svg onload=alert(1)>", "]]>", "<!--",
    "-->", "&lt;&amp;", "*" * 200, "`" * 201, "*a" * 100, "**a** *b* `c` *", "_" * 300, "[a](javascript:x)", "![x](y)",
    "\\" * 99, "é°²", "İıſK", "ﬁ", "e" + "\u0301" * 60, "\u200b\u200d\u2060", "\ufeffin the middle",
    "\u0660\u0661\u0662", "１２", "²", "½", "١٢ N.m", "٣", "😀", "𝟙𝟚", "a" * 5000, "a " * 3000, "9" * 5000, "-" * 300,
    "a-" * 60 + "a", "a_" * 60 + "a", "A" * 49, "é-b", "a--b", "from ", "from pump_bolts", "from from",
    "from __proto__", "left/look", "a/b/c/d", "//", "/", ".", "..", "nul", "aux.svg", "-rf", "--help",
)  # fmt: skip

NUMBERS = (
    "9" * 30, "9" * 400, "1e308", "1e309", "1e-400", "-1e308", "0.1e999999999", "1" + "0" * 500,
    "0." + "0" * 500 + "1", "999999", "1000000", "-1", "4294967296", "9223372036854775808", "18446744073709551617",
    "1.7976931348623159e308", "2147483648", "0.000000001", "999999999.999999999", "-999999999.999999999",
    "1e9999999999", "inf", "nan", "Infinity", "NaN", "1.", ".1", "1..2", "1,5", "1 000", "1'000", "١٢٣",
    "0x7fffffffffffffff", "00", "01", "1/3", "1/0", "+0", "5e-324", "16777217", "100000", "65537", "32769",
)  # fmt: skip

UNITS = (
    "10 N.m", "10 Nm", "10 N·m", "10N.m", "10 nm", "10 NM", "10 N m", "10 N*m", "10 kgf.m", "10 lb-ft", "10 ft lb",
    "10 lbf.ft", "10 µm", "10 μm", "10 °C", "10 degC", "10 deg C", "10 K", "10 kPa(g)", "10 kPa(", "10 kPa)",
    "10 kPa((g))", "10 (g)", "10 %", "10 % %", "10 %%", "10 inHg(vac)", "10 psi(vac)(g)", "10 N.m**2", "10 m/s/s/s",
    "10 km/h", "10 1/s", "10 ", "10  N.m", "10\tN.m", "10 N.m N.m", "N.m", "N.m 10", "10 10", "10 N.m 10", "1e3 N.m",
    "1e999 N.m", "-0 N.m", "-10 N.m", "999999999 N.m", "1000000000 N.m", "0.0000000001 N.m", "10 " + "N." * 40 + "m",
    "10 " + "k" * 16, "10 " + "k" * 17, "10 Ом", "10 Ω", "10 ℃", "10 ㎪", "10 ㎜", "10 '", '10 "', "10 g/(m.mm)",
    "10 g/(m.mm", "10 min", "10 month", "10 months", "10 yr", "10 day", "10 weeks", "0 s", "-5 min", "99999 h",
    "999999999 week", "10 L", "10 l", "10 ℓ", "10 cc", "10 gal", "10 km", "10 mi", "10 nmi", "10 Hz", "10 rpm",
    "10 __proto__", "10 constructor", "10 date", "2026-01-01 date", "10 N.m ± 1", "10 ± 1 N.m", "8-10 N.m",
    "8 to 10 N.m", "8…10 N.m", "10N.m+90deg", "10 N.m + 90 deg", "10 N.m + 90 deg + 90 deg", "10 N.m, then 90 deg",
    "10 kgf.cm", "10 ozf.in", "10 dNm", "10 MNm", "10 mN.m", "10 N.mm", "10 Newton",
)  # fmt: skip

DATES = (
    "2026-02-29", "2028-02-29", "2026-13-01", "2026-00-10", "2026-1-1", "26-01-01", "0000-01-01", "0001-01-01",
    "9999-12-31", "10000-01-01", "-2026-01-01", "2026-10-02T10:00:00Z", "2026-10-02 10:00:00", "2026/10/02",
    "02.10.2026", "20261002", "2026-W40-5", "2026-275", "today", "2026-10-02\u200b", "２０２６-１０-０２", "2026–10–02",
    "'2026-10-02'", "2026-10-", "2026-10-32", "1970-01-01", "1e3-01-01",
)  # fmt: skip

FORMULAS = (
    "9**9**9", "9**9**9**9", "2**1000", "2**1001", "2**-1000", "(2**999)**999", "x**x", "x**(1/0)", "x**(1/3)",
    "x**0.1", "x**1e300", "x**(9**9)", "x**(1/999999999999)", "x**((1/3)*(1/7)*(1/11)*(1/13))", "-" * 300 + "1",
    "not " * 150 + "yes", "+" * 590 + "1", "(" * 300 + "1" + ")" * 300, "(" * 39 + "1" + ")" * 39,
    "(" * 41 + "1" + ")" * 41, "1" + "+1" * 290, "1" + "*9e99" * 100, "1" + "-x" * 280, "1" + "<2" * 250,
    "1" + "<x" * 200, "yes" + " and yes" * 70, "yes" + " or no" * 90, "1 if yes else " * 45 + "2",
    "max(" * 100 + "1" + ")" * 100, "max(" + ",".join("123456789") * 60 + ")", "max()", "min(1)", "sqrt(-1)", "log(0)",
    "1/0", "0/0", "1e308*1e308", "1e309", "9" * 599, "9" * 601, "0x10", "0b1", "1_0", "1j", "1e", ".", "..", "x.y",
    "x[0]", "x()", "x(1)(2)", "lambda: 1", "lambda x: x", "__import__('os')", "__import__(\"os\").system(\"true\")",
    "().__class__", "(1,)", "[1]", "{1}", "{1: 2}", "{x}", "f'{1}'", "b'1'", "r'1'", "'25 kPa'", "\"25 kPa\"",
    "\"25\"", "\"kPa\"", "\"1e400 kPa\"", "\"9999999999999999999999999999999999 kPa\"", "\"2026-02-30\"",
    "\"0001-01-01\" - \"9999-12-31\"", "add(\"9999-12-31\", \"1 month\")", "add(\"2026-01-31\", \"999999 month\")",
    "add(\"2026-01-31\", \"1e300 month\")", "add(\"2026-01-31\", \"-99999999 day\")",
    "months_between(\"0001-01-01\", \"9999-12-31\")", "round(1e308, \"1e-308\")", "round(1, \"0\")",
    "round(1, \"-1\")", "ceil(1e308)", "floor(-1e308)", "floor(0.1 / 0)", "interp(air, 1)", "interp(air, \"1e9 m\")",
    "interp(air, interp(air, 1))", "interp(nothing, 1)", "tolerance(x)", "found(\"look\", \"yes\")",
    "found(\"look\", \"no\") and found(\"__proto__\", \"yes\")", "found()", "if", "1 if", "else", "1 if yes", "and",
    "not", "1 2", "x y", "1x", "x1 1", "x := 1", "x = 1", "x == 1", "x != 1", "x <> 1", "x is 1", "x in x", "x // 2",
    "x % 0", "x % 2 % 2", "x ^ 2", "x²", "√x", "π", "x × 2", "“25 kPa”", "#", "x # y", "x;y", "x\\\ny", "x\\", "\\",
    "'", "\"", "x'", "𝐱", "ｘ", "x\u200b", "\u202ex", "x\ny", "x\t+\ty", "yes", "no", "yes + no", "1 + yes", "-yes",
    "yes < no", "yes == no", "at_start - \"25 kPa\"", "at_start", "absolute(at_start, \"101 kPa\")", "__proto__",
    "constructor", "toString", "await x", "yield", "return 1", "import os", "print(1)", "exec('1')", "True", "None",
    "nan", "inf", "1 < 2 < 3 < yes", "cos(\"90 deg\")", "asin(2)", "(1 if yes else 2) ** 0.5", "((((((x))))))",
    "x" * 601, "x + " * 149 + "x",
)  # fmt: skip

# Each of these is invisible, or turns the text around it.
INVISIBLE = (
    *"\u200b\u200c\u200d\u2060\ufeff\u00ad\u200e\u200f\u202a\u202b\u202d\u202e\u2066\u2067\u2069\u061c\u180e\u00a0",
    *"\u2028\u2029\u0085",
)
CONTROL = (*map(chr, (*range(9), 11, 12, *range(14, 32), 127, 0x80, 0x9B, 0x9F)), "\ufffe", "\uffff", "\ufdd0")
TAGS = (
    "!!python/object/apply:os.system [true]", "!!python/object/new:os.system [true]", "!!python/name:os.system",
    "!!python/module:os", "!!binary aGVsbG8=", "!!set {a, b}", "!!omap [a: b]", "!!float 1", "!!int 9", "!!str x",
    "!x y", "!<tag:x> y", "!!null", "!", "!! x", "!e!x y", "!!timestamp 2026-01-01", "!!map {}", "!!seq []", "!%41 x",
    "!<x y", "!!merge <<",
)  # fmt: skip
ESCAPES = (
    '"\\0"', '"\\x1b[2J"', '"a\\x9bb"', '"\\a"', '"\\u202e x"', '"\\u2066"', '"\\ufffe"', '"\\x7f"', '"\\N"',
    '"\\b\\b"',
)  # fmt: skip
ENCODINGS = (
    "utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-7", "utf-8-sig", "cp1252", "cp037", "cp932", "shift_jis",
)  # fmt: skip
NO_UTF8 = (b"\xff", b"\xc0\x80", b"\xed\xa0\x80", b"\xf4\x90\x80\x80", b"\xe2\x82", b"\x80", b"\xc3", b"\xfe")
DOCUMENTS = ("---", "...", "--- x", "---\n---", "...\n%YAML 1.1\n---", "--- |", "--- !!x")
DIRECTIVES = ("%TAG ! tag:x,2000:\n---\n", "%YAML 1.2\n---\n", "%YAML 9.9\n---\n", "%FOO\n---\n", "%TAG\n")
# Repeated, up to a megabyte or along one line.
FILLERS = (
    "# note\n", "a: b\n", "- a\n", "x", "é", " ", "\n", "[a]\n", "{a: b}\n", "'\n", "  - {id: a, do: b, check: tick}\n",
    "? a\n", "\t",
)  # fmt: skip
LONG = (
    "a", "a ", "*a", "{a", "é", "a, ", "{pump_bolts} ", "1 N.m ", "\\", "''", "a-", "a_", "`", "(", "9", "- ", "😀",
    "a: ",
)  # fmt: skip
