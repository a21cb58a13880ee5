// The Python module migrate._style.
//   language()  gives the grammar to tree_sitter.Language, as a capsule.
//   walk(...)   the one pass over a tree-sitter tree: it makes the nodes of the concrete tree. It asks the cursor only
//               through Python's own protocol, so it depends on no layout of the tree_sitter package.
#include <Python.h>

typedef struct TSLanguage TSLanguage;
const TSLanguage *tree_sitter_style(void);

typedef struct {
  PyObject *number, *start, *end, *children;
} Frame;

typedef struct {
  PyObject *cursor, *node_type, *table, *handler, *base, *empty;
  PyObject *node, *kind_id, *start_byte, *end_byte, *first, *next, *parent, *close, *leaf, *deep;  // names
  allocfunc make;
  long application, offset, most;
  Frame *stack;
  long depth;
} Walk;

static PyObject *language(PyObject *self, PyObject *unused) {
  (void)self, (void)unused;
  return PyCapsule_New((void *)tree_sitter_style(), "tree_sitter.Language", NULL);
}

// A node is a tuple of strings, integers and nodes: it cannot be part of a cycle, so the collector need not know it.
// Takes over the reference to children.
static PyObject *make_node(Walk *w, PyObject *kind, PyObject *start, PyObject *end, PyObject *children) {
  PyObject *node = children ? w->make((PyTypeObject *)w->node_type, 4) : NULL;
  if (!node) {
    Py_XDECREF(children);
    return NULL;
  }
  PyObject_GC_UnTrack(node);
  Py_INCREF(kind), Py_INCREF(start), Py_INCREF(end);
  PyTuple_SetItem(node, 0, kind);
  PyTuple_SetItem(node, 1, start);
  PyTuple_SetItem(node, 2, end);
  PyTuple_SetItem(node, 3, children);
  return node;
}

static PyObject *tuple_of(PyObject *list) {
  PyObject *children = PyList_AsTuple(list);
  if (children && PyTuple_Size(children)) PyObject_GC_UnTrack(children);
  return children;
}

static int append(PyObject *list, PyObject *item) {
  if (!item) return -1;
  const int failed = PyList_Append(list, item);
  Py_DECREF(item);
  return failed;
}

// 1, 0, or -1 with an exception set
static int move(PyObject *bound) {
  PyObject *answer = PyObject_CallNoArgs(bound);
  if (!answer) return -1;
  const int yes = answer == Py_True;
  Py_DECREF(answer);
  return yes;
}

static PyObject *offset_of(Walk *w, PyObject *here, PyObject *name) {
  PyObject *local = PyObject_GetAttr(here, name);
  if (!local || !w->offset) return local;
  PyObject *moved = PyNumber_Add(local, w->base);
  Py_DECREF(local);
  return moved;
}

static void drop_frame(Frame *f) {
  Py_CLEAR(f->number);
  Py_CLEAR(f->start);
  Py_CLEAR(f->end);
  Py_CLEAR(f->children);
}

// Ends the innermost open node and hangs it into the one above, or into the root's children.
static int close_frame(Walk *w) {
  Frame *f = &w->stack[w->depth];
  PyObject *above = w->stack[w->depth - 1].children, *made;
  if (PyLong_AsLong(f->number) == w->application)
    made = make_node(w, PyList_GetItem(w->table, w->application), f->start, f->end, tuple_of(f->children));
  else
    made = PyObject_CallMethodObjArgs(w->handler, w->close, f->number, f->start, f->end, f->children, NULL);
  const int failed = append(above, made);
  drop_frame(f);
  --w->depth;
  return failed;
}

// Takes the node under the cursor; 1 if the cursor went down into it, 0 if it is done, -1 on an exception.
static int take(Walk *w) {
  int result = -1;
  PyObject *here = PyObject_GetAttr(w->cursor, w->node);
  if (!here) return -1;
  PyObject *number = PyObject_GetAttr(here, w->kind_id);
  PyObject *start = offset_of(w, here, w->start_byte), *end = offset_of(w, here, w->end_byte);
  Py_DECREF(here);
  if (!number || !start || !end) goto done;
  PyObject *siblings = w->stack[w->depth].children;
  const long id = PyLong_AsLong(number);
  PyObject *kind = id < PyList_Size(w->table) ? PyList_GetItem(w->table, id) : Py_None;
  if (kind == Py_True) {  // a leaf that needs a second look
    PyObject *above = w->depth ? w->stack[w->depth].number : Py_None;
    PyObject *answer = PyObject_CallMethodObjArgs(w->handler, w->leaf, number, start, end, siblings, above, NULL);
    Py_XDECREF(answer);
    result = answer ? 0 : -1;
  } else if (kind != Py_None && id != w->application) {
    Py_INCREF(w->empty);
    result = append(siblings, make_node(w, kind, start, end, w->empty));
  } else if (w->depth >= w->most) {
    result = append(siblings, PyObject_CallMethodObjArgs(w->handler, w->deep, start, end, NULL));
  } else {
    Frame *f = &w->stack[++w->depth];
    f->number = number, f->start = start, f->end = end, f->children = PyList_New(0);
    number = start = end = NULL;
    if (!f->children) goto done;
    result = move(w->first);
    if (result == 0) result = close_frame(w);
  }
done:
  Py_XDECREF(number), Py_XDECREF(start), Py_XDECREF(end);
  return result;
}

static int walk_all(Walk *w) {
  int down = move(w->first);
  if (down <= 0) return down;
  for (;;) {
    down = take(w);
    if (down < 0) return -1;
    if (down) continue;
    int further;
    while ((further = move(w->next)) == 0) {
      if (w->depth == 0) return 0;
      if (move(w->parent) < 0 || close_frame(w) < 0) return -1;
    }
    if (further < 0) return -1;
  }
}

static int prepare(Walk *w, PyObject *args) {
  if (!PyArg_ParseTuple(args, "OOOlOOl", &w->cursor, &w->node_type, &w->table, &w->application, &w->handler, &w->base,
                        &w->most))
    return -1;
  if (!PyType_Check(w->node_type) || !PyType_IsSubtype((PyTypeObject *)w->node_type, &PyTuple_Type) ||
      !PyList_Check(w->table) || w->application >= PyList_Size(w->table) || w->most < 1) {
    PyErr_SetString(PyExc_TypeError, "walk: a tuple class, a list of kinds and a depth of at least 1 are wanted");
    return -1;
  }
  w->offset = PyLong_AsLong(w->base);
  if (PyErr_Occurred()) return -1;
  w->make = (allocfunc)PyType_GetSlot((PyTypeObject *)w->node_type, Py_tp_alloc);
  w->stack = PyMem_Calloc(w->most + 2, sizeof(Frame));
  if (!w->stack) PyErr_NoMemory();
  return w->stack && (w->stack[0].children = PyList_New(0)) && (w->empty = PyTuple_New(0)) &&
                 (w->node = PyUnicode_InternFromString("node")) &&
                 (w->kind_id = PyUnicode_InternFromString("kind_id")) &&
                 (w->start_byte = PyUnicode_InternFromString("start_byte")) &&
                 (w->end_byte = PyUnicode_InternFromString("end_byte")) &&
                 (w->close = PyUnicode_InternFromString("close")) &&
                 (w->leaf = PyUnicode_InternFromString("leaf")) &&
                 (w->deep = PyUnicode_InternFromString("too_deep")) &&
                 (w->first = PyObject_GetAttrString(w->cursor, "goto_first_child")) &&
                 (w->next = PyObject_GetAttrString(w->cursor, "goto_next_sibling")) &&
                 (w->parent = PyObject_GetAttrString(w->cursor, "goto_parent"))
             ? 0
             : -1;
}

static PyObject *walk(PyObject *self, PyObject *args) {
  (void)self;
  Walk w = {0};
  PyObject *result = NULL;
  if (prepare(&w, args) == 0 && walk_all(&w) == 0) {
    result = w.stack[0].children;
    w.stack[0].children = NULL;
  }
  for (long i = 0; w.stack && i <= w.depth; ++i) drop_frame(&w.stack[i]);
  PyMem_Free(w.stack);
  Py_XDECREF(w.empty), Py_XDECREF(w.node), Py_XDECREF(w.kind_id), Py_XDECREF(w.start_byte), Py_XDECREF(w.end_byte);
  Py_XDECREF(w.close), Py_XDECREF(w.leaf), Py_XDECREF(w.deep);
  Py_XDECREF(w.first), Py_XDECREF(w.next), Py_XDECREF(w.parent);
  return result;
}

static PyMethodDef methods[] = {
  {"language", language, METH_NOARGS, "The grammar of style code, for tree_sitter.Language."},
  {"walk", walk, METH_VARARGS, "walk(cursor, node_type, table, application, handler, base, most): the root's children."},
  {NULL, NULL, 0, NULL},
};

static struct PyModuleDef module = {
  PyModuleDef_HEAD_INIT, "_style", "The generated parser of style code.", -1, methods, NULL, NULL, NULL, NULL,
};

PyMODINIT_FUNC PyInit__style(void) { return PyModule_Create(&module); }
