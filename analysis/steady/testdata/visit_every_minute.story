# The usual visit: an hour, a sample a minute, clipped on a machine that runs.
every 60s
on 60m sh=6 noise=0.3
----
stay of 60 samples, 60 min running by power, 0 transient
  12 steady (0 provisional) from minute 0.0, superheat 5.8 to 6.2, period NaN s
