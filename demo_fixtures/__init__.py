"""Invented data: a builder for logs, the stories, and the demo shop. Only scripts; what they make is not kept."""
