"""What a shell may complete. Silence is the answer to everything that goes wrong: a message would land in the middle
of what is being typed."""

from __future__ import annotations

from alertlang.api.explained import BY_NAME, CODES


def explained_names(incomplete: str) -> list[str]:
    """Checks by name or, once a capital is typed, by code; words of the language, with hyphens for their blanks."""
    if incomplete[:1].isupper():
        return sorted(code for code in CODES if code.startswith(incomplete))
    try:
        from alertlang.api.explained import words

        named = {word.name.replace(" ", "-") for word in words().values() if word.topic}
    except Exception:
        named = set()
    return sorted(name for name in {*BY_NAME, *named} if name.startswith(incomplete))


def profile_names(incomplete: str) -> list[str]:
    """Shipped profiles by name; where none fits, the shell goes on with files."""
    try:
        from alertlang.api.shop import profile_names as shipped

        return [name for name in shipped() if name.startswith(incomplete)]
    except Exception:
        return []
