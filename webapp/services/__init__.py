"""One function a use case: judge, then one transaction. Called inside an app context."""
