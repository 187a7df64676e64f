"""Physics and mathematics of low-voltage feeds: a job and a catalogue in, the cheapest proven plan out."""
