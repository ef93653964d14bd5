"""The command: parse, call the library, present, exit.  Nothing is worked out here."""
