# Connected at standstill, then started: five minutes are left out, and the last
# sample before the stop.
off 10m
on 31m sh=6
off 5m
----
stay of 276 samples, 31 min running by power, 0 transient
  5 steady (0 provisional) from minute 13.3, superheat 6.0 to 6.0, period NaN s
