"""The command `antlab homework`: one student's numbers and answers."""

from antlab.trouble import print_safely


def homework_arguments(parser):
    """Name what `homework` takes."""
    parser.add_argument("name", help="call sign or nickname, as the student typed it, two words in quotes")
    parser.add_argument("--lesson", metavar="NN", help="one lesson, such as 03 (without it, all)")


def run_homework(args, rest):
    """Print one student's numbers and the answers that are expected, for the instructor."""
    from antlab.classroom.homework import expected
    from antlab.classroom.homework.naming import LESSONS
    from antlab.classroom.homework.problems import lesson

    for number in [args.lesson.zfill(2)] if args.lesson else LESSONS:
        print_safely(expected(lesson(number, args.name)), end="\n\n")
    return 0
