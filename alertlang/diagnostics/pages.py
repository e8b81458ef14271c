PAGES: dict[str, str] = {}
