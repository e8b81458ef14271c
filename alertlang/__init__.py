"""Aircraft operating limits as gauge bands and crew alerts: written as rules, checked, proved."""

__all__ = ["__version__"]

__version__ = "0.1.0"
