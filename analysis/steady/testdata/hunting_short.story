# A hunting valve for four minutes and a quarter: three whole periods are enough.
every 500ms
on 256s sh=4 swing=2.2/85s noise=0.3
----
stay of 512 samples, 4 min running by power, 0 transient
  1 oscillating (0 provisional) from minute 0.0, superheat 4.0 to 4.0, period 85 s
