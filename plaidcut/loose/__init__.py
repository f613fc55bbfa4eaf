"""Ready-cut strips in a photo: where each lies, and how wide it is along its length."""
