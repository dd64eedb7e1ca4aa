// Package bring reads the sheets people keep beside a build (hours, money,
// parts, sales, cells, torque values, things to do) and says what each line
// would become in the logbook. It takes rows of text and gives a [Preview];
// nothing is written. The preview's wish, made once nothing is left to ask, writes all or nothing.
//
// What cannot be known is not guessed in silence: every column says why it was
// taken for what it is, every line says what is odd about it, and what would
// change a date, a sum or a task is a [Question] with its answers.
//
// A line's key is made from what the line says (see [model.RowKey]): a sheet
// that is brought in twice, on two devices, or again after it has grown, makes
// no doubles.
package bring
