# The usual visit: an hour, a sample a minute, clipped on a machine that runs.
every 60s
on 60m sh=6 noise=0.3
----
stay of 60 samples, 60 min running by power, 1 transient
  11 steady (0 provisional) from minute 0.0, superheat 5.8 to 6.1, period NaN s
