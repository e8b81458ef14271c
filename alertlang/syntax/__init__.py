"""Text to tree: statements with their places, comments kept. The only package that imports lark.

Decisions:

- `not X for at least D` reads two ways and is refused; parentheses say which is meant.
- Positions of a switch may be words of the language (`on`, `latched`): nothing else can stand there.
"""
