"""From the bytes of a log to channels: containers, layout, headers, numbers, units, signs, players."""
