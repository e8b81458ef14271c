"""What leaves the shop: pictures, sheets, cards and reports."""
