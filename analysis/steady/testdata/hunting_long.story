# A hunting valve for half an hour: windows of whole periods, of like means.
every 1s
on 30m sh=4 swing=2.2/85s noise=0.3
----
stay of 1800 samples, 30 min running by power, 0 transient
  5 oscillating (0 provisional) from minute 0.0, superheat 4.0 to 4.0, period 85 s
