"""Rendering: pictures, pages, paper."""
