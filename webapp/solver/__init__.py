"""Working plans out, in processes of their own: a search that runs wild takes nothing else down."""
