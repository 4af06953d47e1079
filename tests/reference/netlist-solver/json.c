/* A reader for the part of JSON that a netlist uses. */
#include "json.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void fail(const char *format, ...) {
  va_list list;
  va_start(list, format);
  vfprintf(stderr, format, list);
  va_end(list);
  fputc('\n', stderr);
  exit(2);
}

static const char *at;

static void skip(void) {
  while (*at == ' ' || *at == '\n' || *at == '\r' || *at == '\t') at++;
}

static Json *value(void);

/* Names in netlists may contain any letter; UTF-8 is read unchanged; \u is not needed and refused. */
static char *string(void) {
  char *text = malloc(strlen(at) + 1), *to = text;
  for (at++; *at && *at != '"'; at++) {
    if (*at != '\\') {
      *to++ = *at;
      continue;
    }
    at++;
    if (*at == 'u' || !*at) fail("a string of the netlist has an escape that is not known here");
    *to++ = *at == 'n' ? '\n' : *at == 't' ? '\t' : *at;
  }
  if (!*at) fail("a string of the netlist does not end");
  at++;
  *to = 0;
  return realloc(text, (size_t)(to - text) + 1);
}

static Json *children(Json *own, char end) {
  Json **last = &own->first;
  at++;
  for (skip(); *at != end; skip()) {
    char *name = NULL;
    if (end == '}') {
      if (*at != '"') fail("a member of the netlist has no name");
      name = string();
      skip();
      if (*at++ != ':') fail("a member of the netlist has no value");
    }
    *last = value();
    (*last)->name = name;
    last = &(*last)->next;
    skip();
    if (*at == ',') at++;
    else if (*at != end) fail("a list of the netlist does not end");
  }
  at++;
  return own;
}

static int word(const char *letters) {
  size_t length = strlen(letters);
  if (strncmp(at, letters, length) != 0) return 0;
  at += length;
  return 1;
}

static Json *value(void) {
  Json *own = calloc(1, sizeof *own);
  skip();
  if (*at == '{') return own->type = JSON_OBJECT, children(own, '}');
  if (*at == '[') return own->type = JSON_ARRAY, children(own, ']');
  if (*at == '"') return own->type = JSON_STRING, own->text = string(), own;
  if (word("null")) return own->type = JSON_NULL, own;
  if (word("true")) return own->type = JSON_TRUE, own;
  if (word("false")) return own->type = JSON_FALSE, own;
  char *end;
  own->type = JSON_NUMBER;
  own->number = strtod(at, &end);
  if (end == at) fail("the netlist is no JSON at \"%.20s\"", at);
  at = end;
  return own;
}

Json *json_of_file(const char *path) {
  FILE *file = fopen(path, "rb");
  if (!file) fail("%s cannot be read", path);
  size_t size = 1 << 20, length = 0;
  char *text = malloc(size + 1);
  for (size_t got; (got = fread(text + length, 1, size - length, file)) > 0;) {
    length += got;
    if (length == size) text = realloc(text, (size *= 2) + 1);
  }
  fclose(file);
  text[length] = 0;
  at = text;
  Json *whole = value();
  free(text);
  return whole;
}

const Json *json_member(const Json *object, const char *name) {
  for (const Json *child = object->first; child; child = child->next)
    if (child->name && strcmp(child->name, name) == 0) return child;
  return NULL;
}

const char *json_text(const Json *object, const char *name) {
  const Json *member = json_member(object, name);
  if (!member || member->type != JSON_STRING) fail("the netlist has no text \"%s\" where one is needed", name);
  return member->text;
}

double json_number(const Json *object, const char *name) {
  const Json *member = json_member(object, name);
  if (!member || member->type != JSON_NUMBER) fail("the netlist has no number \"%s\" where one is needed", name);
  return member->number;
}
