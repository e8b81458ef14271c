"""What a shell may complete. Silence is the answer to everything that goes wrong: a message would land in the middle
of what is being typed."""

from __future__ import annotations

from alertlang.findings.codes import BY_NAME, CODES


def check_names(incomplete: str) -> list[str]:
    """Checks by name or, once a capital is typed, by code."""
    names = CODES if incomplete[:1].isupper() else BY_NAME
    return sorted(name for name in names if name.startswith(incomplete))


def profile_names(incomplete: str) -> list[str]:
    """Shipped profiles by name; where none fits, the shell goes on with files."""
    try:
        from alertlang.model.files import shipped_profiles

        return [name for name in shipped_profiles() if name.startswith(incomplete)]
    except Exception:
        return []
