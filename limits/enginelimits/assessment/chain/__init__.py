"""The steps by topic; together they are the graph that ``why`` walks."""
