# The machine stood.
off 30m
----
stay of 180 samples, 0 min running by power, 0 transient
