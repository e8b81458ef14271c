"""What a gauge shows, as data: strips, operating maps, and the words for them."""
