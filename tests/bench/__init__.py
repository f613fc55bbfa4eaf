"""The benches: what plaidcut measures, held against the truth; see README.md."""
