"""The JSON documents, both ways, and their schemas."""
