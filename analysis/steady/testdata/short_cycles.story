# Seven minutes on, three off: after five minutes of settling nothing is left.
on 7m
off 3m
on 7m
off 3m
on 7m
off 3m
----
stay of 180 samples, 21 min running by power, 0 transient
  3 steady (0 provisional) from minute 0.0, superheat 6.0 to 6.0, period NaN s
