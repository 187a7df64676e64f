"""The web side: pages, documents, storage and the solver process around the optimizer."""
