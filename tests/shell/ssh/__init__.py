"""The notebook over a real SSH line, to a server of its own on the loopback: ``python -m tests.shell.ssh``."""
