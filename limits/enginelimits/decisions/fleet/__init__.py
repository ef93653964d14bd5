"""Many builds: a list of cases, worked by any executor, kept row by row so that a stopped run goes on."""
