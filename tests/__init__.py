"""What the tests and the commands beside them share: `python -m tests.agreement`, `python -m tests.outputs_compile`."""
