"""What people type, as pieces of a job/1 document, and back again."""
