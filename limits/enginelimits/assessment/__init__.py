"""From a filled description to quantities at every speed, with what each was made from."""
