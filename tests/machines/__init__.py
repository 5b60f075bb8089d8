"""Past one machine: several servers on one PostgreSQL behind a proxy, and a copy of the database. On loopback
and on sockets of its own; nothing is left behind.
"""
