"""What is open and what is done to it: the session, the controller that writes to it, what waits for an answer."""
