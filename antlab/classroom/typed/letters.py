"""What was typed, in tokens: also the signs that stand in books and on keyboards and that Python lacks."""

import re
from dataclasses import dataclass

BOOK = str.maketrans(
    {
        "−": "-",
        "–": "-",
        "—": "-",
        "×": "*",
        "·": "*",
        "⋅": "*",
        "∙": "*",
        "•": "*",
        "∗": "*",
        "÷": "/",
        "∕": "/",
        "⁄": "/",
        "“": '"',
        "”": '"',
        "„": '"',
        "«": '"',
        "»": '"',
        "‘": "'",
        "’": "'",
        "‚": "'",
        "´": "'",
        "…": "...",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
        "\u2007": " ",
        "\t": " ",
        "\u200b": "",
        "\ufeff": "",
        "º": "°",
        "⟨": "(",
        "⟩": ")",
        "μ": "µ",
        "Ω": "Ω",
        "∣": "|",
    }
)
GREEK = dict(
    zip(
        "αβγδεϵηθϑκλνξρϱστφϕχψωΔΓΘΛΦΨΣℓ",
        "alpha beta gamma delta epsilon epsilon eta theta theta kappa lambda nu xi rho rho sigma tau phi phi "
        "chi psi omega Delta Gamma Theta Lambda Phi Psi Sigma ell".split(),
        strict=True,
    )
)
_HIGH = dict(zip("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+-", strict=True))
_LOW = dict(zip("₀₁₂₃₄₅₆₇₈₉ₐₑₕₖₗₘₙₒₚᵣₛₜₓᵢⱼ", "0123456789aehklmnoprstxij", strict=True))
_PARTS = {"½": "(1/2)", "¼": "(1/4)", "¾": "(3/4)", "⅓": "(1/3)", "⅔": "(2/3)", "⅛": "(1/8)"}
_LETTER = f"[A-Za-z_µΩ{''.join(GREEK)}]"
_KINDS = (
    ("string", r'"[^"\n]*"|\'[^\'\n]*\''),
    ("comment", r"#[^\n]*"),
    ("blank", r"[ \n]+|\\\n"),
    ("number", r"(?:\d[\d_]*\.(?!\.\.)\d*|\d[\d_]*|\.\d+)(?:[eE][+-]?\d+)?(?:[jJ](?!\w))?"),
    ("dots", r"\.\.\."),
    (
        "name",
        rf"[{''.join(GREEK)}](?:_\w+|\d+|[{''.join(_LOW)}]+)?"
        rf"|[kMGm]?Ω|[A-Za-z_µ][A-Za-z0-9_]*(?:_[{''.join(GREEK)}])?[{''.join(_LOW)}]*",
    ),
    ("pi", "π"),
    ("high", f"[{''.join(_HIGH)}]+"),
    ("part", f"[{''.join(_PARTS)}]"),
    ("root", "√"),
    ("op", r"\*\*|//|==|!=|<=|>=|->|:=|[-+*/%^=<>,:;.@&|~°!?$\\{}\[\]()]"),
    ("other", r"."),
)
_TOKEN = re.compile("|".join(f"(?P<{kind}>{pattern})" for kind, pattern in _KINDS))


@dataclass(frozen=True)
class Token:
    """kind: of those above. text: as Python would have it. typed: as it stands there."""

    kind: str
    text: str
    typed: str


def plain(text):
    """The same text with its quotation marks, blanks, stars and minus signs as Python has them."""
    return text.translate(BOOK)


def tokens(text):
    """The Tokens of a text that went through plain(), nothing left out."""
    return [_token(found.lastgroup, found[0]) for found in _TOKEN.finditer(text)]


def _token(kind, typed):
    if kind == "high":
        return Token(kind, "".join(map(_HIGH.get, typed)), typed)
    if kind == "part":
        return Token(kind, _PARTS[typed], typed)
    if kind == "name":
        return Token(kind, _spelled(typed), typed)
    return Token(kind, typed, typed)


def _spelled(name):
    """A name in the letters of this keyboard: Z₀ is Z_0, ε_r is epsilon_r."""
    low = "".join(_LOW[letter] for letter in name if letter in _LOW)
    name = "".join(GREEK.get(letter, letter) for letter in name if letter not in _LOW)
    return f"{name.rstrip('_')}_{low}" if low else name


def unbalanced(found):
    """What is wrong with the brackets of Tokens, in a sentence; None where nothing is."""
    pairs, open_ = dict(zip("([{", ")]}", strict=True)), []
    for token in found:
        if token.kind != "op":
            continue
        if token.text in pairs:
            open_.append(token.text)
        elif token.text in pairs.values():
            if not open_:
                return f"A bracket is closed that was never opened: take one {token.text} away, or open it."
            if (opened := open_.pop()) and pairs[opened] != token.text:
                return f"{opened} is closed by {token.text}: use round brackets, ( and ), in pairs."
    if open_:
        count = f"{len(open_)} brackets are" if len(open_) > 1 else "A bracket is"
        return f"{count} opened and never closed: each ( needs its )."
    return None
