"""Ticks to-dos with python3-caldav as a phone would, and prints what happened."""
import sys

import caldav

url, token, command = sys.argv[1], sys.argv[2], sys.argv[3]
client = caldav.DAVClient(url=url, username="grower", password=token)
principal = client.principal()
calendars = principal.calendars()
todos = {str(t.vobject_instance.vtodo.uid.value): t for t in calendars[0].todos(include_completed=True)}
if command == "list":
    print(len(calendars), calendars[0].name)
    for uid, todo in sorted(todos.items()):
        vtodo = todo.vobject_instance.vtodo
        print("|".join([uid, vtodo.status.value, vtodo.summary.value, vtodo.due.value.isoformat()]))
elif command == "open":
    print(len(calendars[0].todos()))
elif command == "new":
    try:
        calendars[0].add_todo("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//y//EN\r\nBEGIN:VTODO\r\nUID:mine\r\nDTSTAMP:20261124T000000Z\r\nSUMMARY:buy bark\r\nEND:VTODO\r\nEND:VCALENDAR\r\n")
        print("added")
    except caldav.lib.error.DAVError as refused:
        print("refused")
else:
    todo = todos[sys.argv[4]]
    try:
        if command == "tick":
            if todo.vobject_instance.vtodo.status.value == "COMPLETED":
                todo.save()  # as a phone does that lost the answer
            else:
                todo.complete()
        elif command == "untick":
            vtodo = todo.vobject_instance.vtodo
            vtodo.status.value = "NEEDS-ACTION"
            if hasattr(vtodo, "completed"):
                del vtodo.completed
            todo.save()
        elif command == "delete":
            todo.delete()
        print("done")
    except caldav.lib.error.DAVError as refused:
        print("refused")
