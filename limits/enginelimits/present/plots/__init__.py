"""Plots of judgements, ladders, measurements and pulls, as one self-contained SVG element each."""
