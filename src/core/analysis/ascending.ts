/** Whether an ascending list holds a number: by halving, since one circuit may stop all coils of a tower. */
export function holds(list: Int32Array, wanted: number): boolean {
  let low = 0;
  for (let high = list.length; low < high; ) {
    const middle = (low + high) >> 1;
    if (list[middle] < wanted) low = middle + 1;
    else high = middle;
  }
  return list[low] === wanted;
}
