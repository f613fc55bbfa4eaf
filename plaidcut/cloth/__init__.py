"""What of the picture is cloth, and how its threads run."""
