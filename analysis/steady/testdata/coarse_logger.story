# A logger that writes every 15 minutes: windows of an hour. The period of the
# valve cannot be seen.
every 15m
on 24h sh=6 noise=0.3
----
stay of 96 samples, 1440 min running by power, 0 transient
  24 steady (0 provisional) from minute 0.0, superheat 5.8 to 6.2, period NaN s
