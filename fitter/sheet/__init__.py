"""The recommendation sheet: one page of paper, its Markdown twin, a card for a club night."""
