"""A small virtual range: invented players in worlds that are not the advisor's.

The truth is computed here in plain NumPy and imports nothing of the advisor's physics. The advisor is asked
as a user asks it: with a log, a kit, and the name of the present club.
"""
