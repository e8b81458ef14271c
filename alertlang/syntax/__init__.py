"""Text to tree: statements with their places, comments kept. The only package that imports lark."""
