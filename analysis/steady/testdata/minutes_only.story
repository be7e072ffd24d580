# Two minutes are no window.
on 2m sh=9.6
----
stay of 12 samples, 2 min running by power, 0 transient
  1 spot (1 provisional) from minute 0.0, superheat 9.6 to 9.6, period NaN s
