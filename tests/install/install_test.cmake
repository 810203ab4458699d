# SPDX-License-Identifier: Apache-2.0
# Installs the build into a folder of its own, builds a small program against that copy
# alone, and runs it and the installed program.
# Wants BUILD (the build), WORK (a folder to work in), CONSUMER, GENERATOR, CXX.
function(run)
  execute_process(COMMAND ${ARGN} RESULT_VARIABLE status OUTPUT_VARIABLE out ERROR_VARIABLE out)
  if(NOT status EQUAL 0)
    message(FATAL_ERROR "failed (${status}): ${ARGN}\n${out}")
  endif()
  set(out "${out}" PARENT_SCOPE)
endfunction()

file(REMOVE_RECURSE ${WORK})
run(${CMAKE_COMMAND} --install ${BUILD} --prefix ${WORK}/installed)
run(${CMAKE_COMMAND} -S ${CONSUMER} -B ${WORK}/build -G ${GENERATOR}
    -DCMAKE_PREFIX_PATH=${WORK}/installed -DCMAKE_CXX_COMPILER=${CXX} -DCMAKE_BUILD_TYPE=Release)
run(${CMAKE_COMMAND} --build ${WORK}/build)
run(${WORK}/build/consumer)
# Origin (30, 24) + 5 x 60 across + 4 x 45 down.
if(NOT out STREQUAL "E6 at 330, 204 mm\n")
  message(FATAL_ERROR "the small program said: ${out}")
endif()
run(${WORK}/installed/bin/truepull --version)
if(NOT out MATCHES "^truepull [0-9]+\\.[0-9]+\\.[0-9]+\n$")
  message(FATAL_ERROR "the installed program said: ${out}")
endif()
file(REMOVE_RECURSE ${WORK})
