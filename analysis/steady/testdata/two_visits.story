# A morning and an afternoon.
on 20m sh=6
gap 5h
on 20m sh=8
----
stay of 120 samples, 20 min running by power, 0 transient
  4 steady (0 provisional) from minute 0.0, superheat 6.0 to 6.0, period NaN s
stay of 120 samples, 20 min running by power, 0 transient
  4 steady (0 provisional) from minute 0.0, superheat 8.0 to 8.0, period NaN s
