"""plaidcut: from a photo of a plaid to the strips it yields."""

__version__ = "0.1.0"
