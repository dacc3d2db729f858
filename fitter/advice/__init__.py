"""The decision: options, paired prediction, ranking, reasons."""
