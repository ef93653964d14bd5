"""Rules as typed data, the engines that fire them, and the catalogue they live in."""
