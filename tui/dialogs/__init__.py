"""Small screens that ask or tell, each awaited by who opened it."""
