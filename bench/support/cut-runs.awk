# Cuts a log into pump runs by a fixed threshold: start, stop, cut-in, cut-out, mean amps.
NR > 1 {
  on = $3 > 1
  if (on && !was) { runs++; start = $1; low = $2; sum = 0; count = 0 }
  if (on) { sum += $3; count++ }
  if (!on && was) printf "%s %s %s %s %.2f\n", start, $1, low, $2, sum / count
  was = on
}
END { print runs + 0 }
